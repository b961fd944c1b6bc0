// Drawing for the chosen pin: the pointer's way over the canvas becomes a line in the plane through the pin's place.

import { el, replace, svg } from './dom.js';
import { MOST, chosenPin } from './pins.js';
import { mountPinKeys } from './pin-keys.js';
import { drawn } from './pin-view.js';
import { plane, sameWay, thinned } from './strokes.js';
import { texts } from './texts.js';

const words = texts.pins;

/** Points taken on the way of one line, of which few are kept. A hand that draws on longer begins the next line. */
const WAY = 4000;
/** Least step of the pointer that is taken, CSS pixels. */
const STEP = 1;

/** `surface`: the stage; `bar`: what says how one draws, or where a pin is seen from. */
export function mountPinDraw(surface, canvas, sheet, bar, store, scene, pins) {
  const line = svg('path', { id: 'pin-line' });
  const nib = svg('svg', { id: 'pin-middle', viewBox: '-20 -20 40 40', 'aria-hidden': 'true' }, svg('path', { d: 'M-18 0H-5M5 0H18M0 -18V-5M0 5V18' }));
  sheet.after(nib);
  let way = null; // {id, points} of the pointer that draws; of the keys' pen the id is 'keys'

  const at = ({ clientX, clientY }) => {
    const box = canvas.getBoundingClientRect();
    return [clientX - box.left, clientY - box.top];
  };
  const drawing = () => store.state.work.pinView.draw;
  /** True where the camera has arrived where the chosen pin is seen from. */
  function ready() {
    const pin = chosenPin(store.state);
    const camera = scene.camera();
    return Boolean(pin && camera && sameWay(camera, pin.camera));
  }

  function show() {
    if (way && line.parentNode !== sheet) sheet.append(line);
    line.toggleAttribute('hidden', !way);
    if (way) line.setAttribute('d', drawn(way.points));
  }

  function end(keep) {
    const done = way;
    way = null;
    show();
    const pin = chosenPin(store.state);
    if (!done || !keep || !pin) return;
    const camera = scene.camera();
    const back = camera && sameWay(camera, pin.camera) && plane(pin.place, camera, (points) => scene.onScreen(points));
    if (!back) return;
    store.dispatch({ type: 'add-stroke', key: pin.key, stroke: thinned(done.points, MOST.points).map(back) });
    if (chosenPin(store.state).strokes.length >= MOST.strokes) pins.draw(false);
  }

  // Before the camera's own listeners, which then do not hear of it.
  const first = (type, act) =>
    canvas.addEventListener(
      type,
      (event) => {
        if (!drawing()) return;
        event.stopImmediatePropagation();
        event.preventDefault();
        act(event);
      },
      { capture: true },
    );
  first('pointerdown', (event) => {
    canvas.focus({ preventScroll: true });
    // Where the camera is still on the way there, nothing is drawn.
    if (way || event.button !== 0 || !ready()) return;
    canvas.setPointerCapture(event.pointerId);
    way = { id: event.pointerId, points: [at(event)] };
    show();
  });
  first('pointermove', (event) => {
    if (way?.id !== event.pointerId) return;
    const between = event.getCoalescedEvents?.() ?? [];
    for (const one of between.length > 0 ? between : [event]) {
      const spot = at(one);
      const last = way.points.at(-1);
      if (way.points.length < WAY && Math.hypot(spot[0] - last[0], spot[1] - last[1]) >= STEP) way.points.push(spot);
    }
    show();
  });
  const keys = mountPinKeys(canvas, nib, store, scene, {
    ready,
    isDown: () => way?.id === 'keys',
    busy: () => way !== null && way.id !== 'keys',
    down(spot) {
      way = { id: 'keys', points: [spot] };
      show();
    },
    move(spot) {
      if (way.points.length < WAY) way.points.push(spot);
      show();
    },
    up: end,
  });
  first('pointerup', (event) => way?.id === event.pointerId && end(true));
  first('pointercancel', (event) => way?.id === event.pointerId && end(false));

  /** Ends the drawing when the view has turned away, or is bound for elsewhere. */
  function follow() {
    const pin = chosenPin(store.state);
    const turned = pin && scene.bound() ? !sameWay(scene.bound(), pin.camera) : false;
    if (drawing() && (!pin || turned)) {
      end(false);
      store.dispatch({ type: 'draw-pin', on: false, say: words.drawEnded });
    } else if (bar.dataset.away !== String(turned)) tell(store.state);
  }

  function tell(state) {
    const pin = chosenPin(state);
    const turned = pin && scene.bound() ? !sameWay(scene.bound(), pin.camera) : false;
    bar.dataset.away = String(turned);
    // What is pressed here gives way to what comes next: the focus goes there.
    const held = bar.contains(document.activeElement);
    replace(bar, barOf(state, pin, turned, pins, store));
    if (held && !bar.contains(document.activeElement)) (bar.querySelector('button') ?? canvas).focus({ preventScroll: true });
  }

  scene.onView(() => {
    follow();
    keys.show();
  });
  store.watch(
    ({ work, review }) => [work.pinView, work.selection, review.pins, work.model, work.graphics],
    (state) => {
      const { aim, draw } = state.work.pinView;
      if (!draw && way) end(false);
      keys.show();
      if (aim || draw) surface.dataset.pen = aim ? 'aim' : 'draw';
      else delete surface.dataset.pen;
      // Drawing ends with the pin that it was for.
      if (draw && !chosenPin(state)) return store.dispatch({ type: 'draw-pin', on: false });
      tell(state);
    },
  );
}

/** What the pointer does now, and the way out; or the way back to the lines of the chosen pin. */
function barOf({ work }, pin, turned, pins, store) {
  if (!work.model || work.graphics !== 'ok') return [];
  const button = (id, label, hint, click) => el('button', { type: 'button', id, title: hint, on: { click } }, label);
  const { aim, draw } = work.pinView;
  if (aim) return [el('p', {}, words.aim, ' ', el('span', { class: 'quiet' }, words.aimKeys)), button('pin-stop', words.stop, undefined, () => pins.aim(false))];
  if (!pin) return [];
  if (draw) {
    return [
      el('p', {}, words.drawing, ' ', el('span', { class: 'pen-keys' }, words.drawKeys, ' '), el('span', { class: 'quiet' }, words.drawn(pin.strokes.length, MOST.strokes))),
      pin.strokes.length > 0 && button('pin-undo-stroke', words.undoStroke, undefined, () => store.dispatch({ type: 'drop-strokes', key: pin.key })),
      button('pin-draw-done', words.done, undefined, () => pins.draw(false)),
    ];
  }
  if (turned && pin.strokes.length > 0) return [el('p', {}, words.away), button('pin-back', words.back, undefined, () => pins.fly(pin))];
  return [];
}
