// Joins of faces that trials change, told to the renderer: coloured and widened by the chosen measure as in the Joins pass, as they are or as they came.

import { ORDERS } from './protocol.js';
import { showsTrials } from './trials.js';

const NONE = Object.freeze({ points: new Float64Array(), counts: new Uint32Array(), values: ORDERS.map(() => new Float64Array()) });

export function tellTrialJoins(viewer, { work }) {
  const [before, after] = (work.pass === 'trials' && work.tried?.lines) || [NONE, NONE];
  const { points, counts, values } = showsTrials(work) ? after : before;
  const limits = Float64Array.from(work.limits?.[work.measure]?.limits ?? [], (x) => x ?? NaN);
  viewer.set_net('trial joins', points, counts, values[ORDERS.indexOf(work.measure)], limits, { ink: 'dark', width: 3, through: false });
}
