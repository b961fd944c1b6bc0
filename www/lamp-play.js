// Lamps that go round by themselves: about the model's vertical or, where they hang straight above it, about their own direction.

import { tidy, wrapped } from './lamp-rig.js';

/** Degrees a second. Faster hides where a stripe hesitates; slower tries patience. */
const PACE = 24;
/** Longest time that one picture counts for, s: after a pause of the machine the lamps go on instead of leaping. */
const LEAP = 0.1;
/** Degrees of one press, for those who want no motion. */
export const PRESS = 15;

const still = () => matchMedia('(prefers-reduced-motion: reduce)').matches;

/** `toggle()` starts and stops; who wants no motion has the lamps turned by one step instead. One run is one step to undo. */
export function createLampPlay(store) {
  let runs = 0;
  let last = 0;
  let asked = 0;

  const turnBy = (degrees) => {
    const { lamps } = store.state.review;
    const above = Math.abs(lamps.elevation) > 89 && lamps.family !== 'isophote';
    const name = above ? 'turn' : 'azimuth';
    store.dispatch({ type: 'set-lamps', lamps: tidy({ [name]: wrapped(lamps[name] + degrees) }), gesture: `play ${runs}` });
  };

  function frame(now) {
    asked = 0;
    if (!store.state.work.playing) return;
    turnBy(PACE * Math.min(LEAP, Math.max(0, now - last) / 1000));
    last = now;
    asked = requestAnimationFrame(frame);
  }

  const stop = () => {
    if (store.state.work.playing) store.dispatch({ type: 'play-lamps', playing: false });
  };

  // Whoever takes hold of the lamps, goes back a step or turns to something else has them standing still.
  store.subscribe(({ work }, _, action) => {
    if (!work.playing) return;
    const held = action.type === 'set-lamps' && action.gesture !== `play ${runs}` && ('azimuth' in action.lamps || 'turn' in action.lamps);
    if (held || ['undo', 'redo', 'import-began'].includes(action.type) || work.pass !== 'highlights') queueMicrotask(stop);
  });

  return {
    stop,
    toggle() {
      if (store.state.work.playing) return stop();
      runs += 1;
      if (still()) return turnBy(PRESS);
      store.dispatch({ type: 'play-lamps', playing: true });
      last = performance.now();
      if (!asked) asked = requestAnimationFrame(frame);
    },
    /** True where a press turns by one step. */
    still,
  };
}
