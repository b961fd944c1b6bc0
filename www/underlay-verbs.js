// What is done with a picture against the model: opening it, going to its view, picking places on it.

import { quantity } from './format.js';
import { texts } from './texts.js';
import { UNDERLAY_LOOKS, underlayPixels } from './underlay.js';
import { readPicture } from './underlay-file.js';
import { apart, covering, isSound, matched, toPicture, withDistance } from './underlay-place.js';

const words = texts.underlay;

export function createUnderlay(store, scene) {
  let asked = 0; // files asked for, so that a late one is let go

  const look = (one, say) => store.dispatch({ type: 'set-underlay-look', look: one, say });
  const notice = (text) => store.dispatch({ type: 'notice', notice: text });

  /** Changes the placement; `gesture` joins the moves of one drag. A place out of range is told, and nothing changes. */
  function set(change, gesture) {
    const next = { ...store.state.review.underlay, ...change };
    if (!isSound(next)) return notice(words.range);
    store.dispatch({ type: 'set-underlay', underlay: change, gesture });
  }

  async function open(file) {
    asked += 1;
    const mine = asked;
    look({ reading: file.name });
    let pixels;
    try {
      pixels = await readPicture(file);
      await scene.whole();
    } catch (error) {
      if (mine !== asked) return;
      look({ reading: null });
      notice(words.refused(file.name, error.message));
      return;
    }
    if (mine !== asked || !store.state.work.model) {
      pixels.bitmap.close();
      if (mine === asked) look({ reading: null });
      return;
    }
    const last = store.state.work.underlayPixels;
    store.dispatch({ type: 'underlay-pixels', pixels });
    last?.bitmap.close();
    notice(null);
    // One that was placed before, as after an undo, lies where it lay.
    if (store.state.review.underlay?.file !== pixels.name) {
      const view = stand(store.state.work.underlayLook.side);
      set({ file: pixels.name, ...UNDERLAY_LOOKS, view, ...covering(box(), view, pixels) });
    }
    back();
  }

  /** Turns the camera to a side, and tells how it looks from there. */
  function stand(side) {
    if (side !== 'own') scene.standardView(side);
    const { yaw, pitch } = scene.bound();
    return { side, yaw, pitch };
  }

  const box = () => store.state.work.model.summary.bbox ?? [[0, 0, 0], [1, 1, 1]];

  /** To the picture's view, as near and at the place that one looks at. */
  function back() {
    const { view } = store.state.review.underlay;
    look({ off: false });
    scene.flyHome({ ...scene.bound(), yaw: view.yaw, pitch: view.pitch, projection: 'orthographic' });
  }

  /** Another side; in its plane the picture begins anew about the model's middle, as large as it was. */
  function toSide(side) {
    look({ side });
    const pixels = underlayPixels(store.state);
    if (!pixels) return;
    const view = stand(side);
    const { x, y } = covering(box(), view, pixels);
    set({ view, x, y });
    look({ marks: [], ends: [], aim: null });
    back();
  }

  function aim(what) {
    store.dispatch({ type: 'underlay-aim', aim: what, say: what && `${words.aims[what][0]} ${words.aimKeys}` });
  }

  /** A click at a place of the view's plane; true when it was meant for the picture. */
  function take(place) {
    const state = store.state;
    const { aim: what, seen } = state.work.underlayLook;
    const pixels = underlayPixels(state);
    if (!what || !seen || !pixels || !place) return false;
    const { underlay } = state.review;
    store.dispatch({ type: 'underlay-picked', at: what === 'picture' ? toPicture(underlay, pixels, place) : place });
    const { marks, ends, aim: still } = store.state.work.underlayLook;
    if (still) look({}, words.aims[still][1]);
    else if (what === 'picture') look({}, words.apart(quantity(apart(underlay, pixels, marks), 'mm')));
    else {
      const next = matched(underlay, pixels, marks, ends);
      look({ ends: [] }, next ? words.fitted : words.same);
      if (next) set(next);
      else notice(words.same);
    }
    return true;
  }

  /** The true distance of the two places picked, mm. */
  function measure(mm) {
    const { underlay } = store.state.review;
    const next = withDistance(underlay, underlayPixels(store.state), store.state.work.underlayLook.marks, mm);
    if (next) set(next);
    else notice(mm > 0 ? words.same : words.range);
  }

  return {
    open,
    close: () => {
      asked += 1;
      look({ aim: null, marks: [], ends: [], reading: null });
      store.dispatch({ type: 'set-underlay', underlay: null });
    },
    set,
    look,
    back,
    toSide,
    aim,
    take,
    measure,
    cover: () => {
      const { view } = store.state.review.underlay;
      const { x, y, width, turn } = covering(box(), view, underlayPixels(store.state));
      set({ x, y, width, turn });
    },
  };
}
