// Painting zones over patches: the pointer's way over the model puts every patch it passes into a zone, one drag one step to undo.

import { el, replace } from './dom.js';
import { faceName } from './records.js';
import { texts } from './texts.js';

const words = texts.zoning;

/** Between two places of the pointer patches are looked for at steps of so many CSS pixels. Longer misses narrow ones; shorter is slower. */
const STEP = 6;
/** Steps of one move at most: a pointer that leaps has not been over what lies between. */
const STEPS = 60;

/** Turns painting on and off, and takes what is chosen while it is on. */
export function createZonePaint(store, scene) {
  const canvas = () => document.getElementById('canvas');

  /** Where the window is narrow the pass lies over the model. */
  function toModel() {
    if (matchMedia('(max-width: 48rem)').matches) store.dispatch({ type: 'fold-pass', folded: true });
    document.getElementById('surface').scrollIntoView({ block: 'nearest' });
    canvas().focus({ preventScroll: true });
  }

  function turn(on) {
    const { work } = store.state;
    if (on && (!work.model || work.graphics !== 'ok')) return store.dispatch({ type: 'notice', notice: words.noPicture, say: words.noPicture });
    const zone = zoneName(work.zoneView.as);
    store.dispatch({ type: 'set-zone-view', view: { paint: on }, say: on ? `${words.painting(zone)} ${words.paintKeys}` : words.ended });
    if (on) toModel();
  }

  /** The patch at a place of the canvas into the zone; false where there is none. */
  function put(x, y, gesture) {
    const face = scene.pickAt(x, y)?.face ?? null;
    if (face === null) return false;
    const { model, zoneView } = store.state.work;
    store.dispatch({ type: 'pick-zone', model: model.name, face, zone: zoneView.as, gesture, say: words.painted(faceName(model.summary, face), zoneName(zoneView.as)) });
    return true;
  }

  return {
    turn,
    put,
    /** A choice by key on the canvas; true when it was meant for painting. */
    take(x, y) {
      if (!store.state.work.zoneView.paint) return false;
      put(x, y);
      return true;
    },
  };
}

const zoneName = (zone) => (zone ? texts.zones[zone] : words.rest);

/** `surface`: the stage; `bar`: says how one paints. */
export function mountZonePaint(surface, canvas, bar, store, paint) {
  let way = null; // {id, last, gesture} of the pointer that paints
  let drags = 0;
  const painting = () => store.state.work.zoneView.paint;
  const at = ({ clientX, clientY }) => {
    const box = canvas.getBoundingClientRect();
    return [clientX - box.left, clientY - box.top];
  };

  // Before the camera's own listeners, which hear only of what is not painted.
  const first = (type, meant) =>
    canvas.addEventListener(
      type,
      (event) => {
        if (!painting() || !meant(event)) return;
        event.stopImmediatePropagation();
        event.preventDefault();
      },
      { capture: true },
    );
  first('pointerdown', (event) => {
    if (way) return true; // a second finger
    if (event.button !== 0 || event.shiftKey) return false;
    const gesture = `paint zone ${(drags += 1)}`;
    const last = at(event);
    if (!paint.put(...last, gesture)) return false;
    canvas.focus({ preventScroll: true });
    canvas.setPointerCapture(event.pointerId);
    way = { id: event.pointerId, last, gesture };
    return true;
  });
  first('pointermove', (event) => {
    if (way?.id !== event.pointerId) return false;
    const between = event.getCoalescedEvents?.() ?? [];
    for (const one of between.length > 0 ? between : [event]) {
      const [[x, y], [a, b]] = [at(one), way.last];
      const steps = Math.min(STEPS, Math.ceil(Math.hypot(x - a, y - b) / STEP));
      for (let i = 1; i <= steps; i += 1) paint.put(a + ((x - a) * i) / steps, b + ((y - b) * i) / steps, way.gesture);
      way.last = [x, y];
    }
    return true;
  });
  const end = (event) => {
    if (way?.id !== event.pointerId) return false;
    way = null;
    return true;
  };
  first('pointerup', end);
  first('pointercancel', end);

  store.watch(
    ({ work }) => [work.zoneView, work.pass, work.model, work.graphics, work.pinView, work.underlayLook.aim],
    ({ work }) => {
      const { paint: on, as } = work.zoneView;
      const elsewhere = work.pass !== 'overview' || !work.model || work.graphics !== 'ok' || work.pinView.aim || work.pinView.draw || work.underlayLook.aim;
      if (on && elsewhere) return store.dispatch({ type: 'set-zone-view', view: { paint: false }, say: words.ended });
      if (!on) way = null;
      surface.toggleAttribute('data-paint', on);
      const held = bar.contains(document.activeElement);
      replace(
        bar,
        on && [
          el('p', {}, words.painting(zoneName(as)), ' ', el('span', { class: 'quiet' }, words.paintKeys)),
          el('button', { type: 'button', id: 'zone-stop', on: { click: () => paint.turn(false) } }, words.stop),
        ],
      );
      if (held && !on) canvas.focus({ preventScroll: true });
    },
  );
}
