// What is done with pins: placing one, going to it, its lamps, drawing for it.

import { MOST, chosenPin, keptRig, nextKey, pinTitle } from './pins.js';
import { keptCamera } from './checklist.js';
import { sameWay } from './strokes.js';
import { texts } from './texts.js';

const words = texts.pins;

export function createPins(store, scene) {
  const tell = (notice) => store.dispatch({ type: 'notice', notice, say: notice ?? undefined });

  /** Brings the model into sight where the page scrolls: the pointer is wanted there. */
  const toModel = () => document.getElementById('surface').scrollIntoView({ block: 'nearest' });

  /** The next click on the model places a pin, or no longer. The keys then act on the canvas. */
  function aim(on) {
    const { work, review } = store.state;
    if (on && review.pins.length >= MOST.pins) return tell(words.full(MOST.pins));
    if (on && (!work.model || work.graphics !== 'ok')) return tell(words.noPicture);
    store.dispatch({ type: 'aim-pin', on, say: on ? `${words.aim} ${words.aimKeys}` : undefined });
    if (!on) return;
    toModel();
    document.getElementById('canvas').focus({ preventScroll: true });
  }

  /** A click on the canvas; true when it was meant for a pin. */
  function take(x, y) {
    if (!store.state.work.pinView.aim) return false;
    const hit = scene.pickAt(x, y);
    if (hit) add(hit);
    else tell(words.missed);
    return true;
  }

  function add({ point, face }) {
    const { work, review } = store.state;
    const key = nextKey(review.pins);
    const pin = { model: work.model.name, place: [...point], face, ...now() };
    store.dispatch({ type: 'add-pin', pin });
    if (work.notice === words.missed) tell(null);
    if (!work.ledger.open) store.dispatch({ type: 'toggle-ledger', open: true });
    store.dispatch({ type: 'choose-pin', key, say: words.added(words.name(key)) });
    document.getElementById('pin-title')?.focus();
  }

  /** Camera, lamps and pass as they are. */
  function now() {
    const { work, review } = store.state;
    return { camera: keptCamera(scene.camera()), lamps: keptRig(review.lamps), pass: work.pass };
  }

  /** Chooses a pin and flies to where it is seen from. */
  function go(pin, say) {
    store.dispatch({ type: 'choose-pin', key: pin.key, say: say ?? pinTitle(pin) });
    fly(pin);
  }

  function fly({ camera }) {
    try {
      // A frame's size belongs to the window.
      scene.flyHome({ ...camera, width: 1, height: 1 });
      return true;
    } catch {
      tell(words.gone);
      return false;
    }
  }

  /** The lamps of a pin, and the pass that shows them. */
  function lamps({ lamps: rig, pass }) {
    const { folded, pass: open } = store.state.work;
    if (pass !== open) {
      store.dispatch({ type: 'choose-pass', pass });
      store.dispatch({ type: 'fold-pass', folded });
    }
    store.dispatch({ type: 'set-lamps', lamps: rig, say: words.lampsBack });
  }

  /** Draws for the chosen pin, in its view, or no longer. */
  function draw(on) {
    const pin = chosenPin(store.state);
    if (!pin || store.state.work.graphics !== 'ok') return;
    if (on && pin.strokes.length >= MOST.strokes) return tell(words.drawFull(MOST.strokes));
    if (on && !sameWay(scene.bound(), pin.camera) && !fly(pin)) return;
    store.dispatch({ type: 'draw-pin', on, say: on ? `${words.drawing} ${words.drawKeys}` : undefined });
    if (!on) return;
    toModel();
    document.getElementById('canvas').focus({ preventScroll: true });
  }

  return {
    aim,
    take,
    go,
    fly,
    lamps,
    draw,
    keep: ({ key }) => scene.camera() && store.dispatch({ type: 'set-pin', key, change: now(), say: words.kept }),
    remove: (pin) => store.dispatch({ type: 'delete-pin', key: pin.key, say: words.deleted(pinTitle(pin)) }),
  };
}
