// The limits of the four orders: what the user has changed over the zone's own, and how one limit may be moved.

import { field, list, number, orNull, record, refuse } from './outside.js';
import { ORDERS, ZONES } from './protocol.js';
import { texts } from './texts.js';

/** The severities that have a limit, in the order of a limits record. */
export const GRADED = Object.freeze(['polish', 'fix', 'serious']);

/** Most and least of a limit, by the unit of an order: a slider's ends, as powers of ten. */
const DECADES = { mm: [-4, 1], deg: [-3, 1.7], share: [-3, 1] };

/** Steps of a slider in one decade: finer steps cannot be told apart by hand. */
const STEPS = 40;

/**
 * The limits of an order as they are shown: [polish, fix, serious] of {unit, limits, usual}. What the user has changed counts at
 * once, before the worker has judged by it.
 */
export function shownLimits({ work, review }, order) {
  const record = work.limits?.[order];
  if (!record) return null;
  const wanted = review.limits[review.yardstick][order];
  return { ...record, limits: wanted ?? record.usual, changed: Boolean(wanted) };
}

/** The limits with one of them moved: not past its neighbours, so that worse findings keep the wider limit. */
function movedLimit(limits, index, value) {
  if (!Number.isFinite(value)) return limits;
  const below = limits.slice(0, index).filter((one) => one !== null);
  const above = limits.slice(index + 1).filter((one) => one !== null);
  const low = Math.max(0, ...below);
  const high = Math.min(Infinity, ...above);
  return limits.map((one, i) => (i === index ? rounded(Math.min(high, Math.max(low, value))) : one));
}

/** A value at a place of its slider, from 0 to `steps`. */
export function slide(unit) {
  const [low, high] = DECADES[unit];
  const steps = Math.round((high - low) * STEPS);
  return {
    steps,
    value: (at) => rounded(10 ** (low + (at / steps) * (high - low))),
    at: (value) => (value > 0 ? Math.min(steps, Math.max(0, Math.round(((Math.log10(value) - low) / (high - low)) * steps))) : 0),
  };
}

/** Moves a limit of the order on the model. Moves of one `gesture` are one step to undo. */
export function moveLimit(store, index, value, gesture) {
  const { work, review } = store.state;
  const now = shownLimits(store.state, work.measure);
  if (!now) return;
  const limits = movedLimit(now.limits, index, value);
  if (limits[index] === now.limits[index]) return;
  store.dispatch({ type: 'set-limits', zone: review.yardstick, order: work.measure, limits, gesture });
}

/** Puts the limits of the order on the model back to the zone's own. */
export function usualLimits(store) {
  const { work, review } = store.state;
  store.dispatch({ type: 'set-limits', zone: review.yardstick, order: work.measure, limits: null });
}

/** The name of a limit, for those who hear it. */
export function limitName(index) {
  return texts.joins.limitOf(texts.severity[GRADED[index]]);
}

/** Three digits: more would only be the pixel that a drag ended on. */
function rounded(value) {
  return Number.isFinite(value) ? Number(value.toPrecision(3)) : value;
}

/** What the user has changed, out of any JSON value: zone → order → [polish, fix, serious]. */
export function readLimits(value, path) {
  record(value, path);
  return Object.fromEntries(ZONES.map((zone) => [zone, readZone(field(value, zone), `${path}.${zone}`)]));
}

function readZone(value, path) {
  if (value === undefined) return {};
  const given = ORDERS.filter((order) => field(record(value, path), order) !== undefined);
  return Object.fromEntries(given.map((order) => [order, readOrder(value[order], `${path}.${order}`)]));
}

function readOrder(value, path) {
  const limits = list(value, path, GRADED.length, GRADED.length).map((one, i) => orNull((x, at) => number(x, at, 0))(one, `${path}.${i}`));
  const known = limits.filter((one) => one !== null);
  // The core takes none that would call worse findings the lesser ones.
  if (known.some((one, i) => i > 0 && one < known[i - 1])) refuse(path, texts.outside.rising);
  return limits;
}
