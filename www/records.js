// Reading the core's records: names of faces, places, marks and ranks. Nothing here computes geometry.

import { texts } from './texts.js';

/** A finding's lasting name, the same under every yardstick. */
export function findingKey(finding) {
  const where = finding.join ?? (placePoint(finding) ?? []).map((x) => x.toFixed(3)).join(' ');
  return [finding.measure, finding.faces.join('+'), where].join('|');
}

/** Key of a mark: the model's name belongs to it, so that marks of another model stay its own. */
export function markKey(modelName, finding) {
  return `${modelName}|${findingKey(finding)}`;
}

/** Where a finding is, as [x, y, z] in mm, or null. */
export function placePoint(finding) {
  const point = finding.place?.point ?? finding.place;
  return Array.isArray(point) && point.length === 3 && point.every(Number.isFinite) ? point : null;
}

/** Where the camera flies for a finding: {point, faces, size}, or null when it has no place. */
export function flightTo(finding, joins) {
  const point = placePoint(finding);
  const join = joins.find((one) => one.id === finding.join);
  return point && { point, faces: finding.faces, size: join?.length ?? null };
}

/** The pass a measure is judged in. */
function passOf(measure) {
  return texts.measures[measure]?.[2] ?? 'overview';
}

/** The unit of a finding's value. */
export const unitOf = (finding) => finding.unit ?? texts.measures[finding.measure]?.[1] ?? '';

/** True when a pass lists a finding: a pass without measures of its own lists all. */
export function belongs(finding, pass) {
  return !JUDGED.includes(pass) || passOf(finding.measure) === pass;
}

/** Passes with measures of their own. */
export const JUDGED = Object.freeze(['layout', 'rows', 'joins', 'centre', 'highlights', 'form', 'fillets', 'gaps', 'reference']);

/** The name of a face: the file's own, with its number where several faces share the name or none is given. */
export function faceName(summary, id) {
  const name = summary?.names?.[id];
  if (!name) return texts.face(id);
  return sharedNames(summary).has(name) ? `${name} (${id})` : name;
}

const shared = new WeakMap(); // summary → names that more than one face has

function sharedNames(summary) {
  if (!shared.has(summary)) {
    const once = new Set();
    const more = new Set();
    for (const name of Object.values(summary.names)) (once.has(name) ? more : once).add(name);
    shared.set(summary, more);
  }
  return shared.get(summary);
}

/** The names of what meets at a join: two faces, one at an outline, or one and its mirror image. */
export function sidesOf(join, summary) {
  const names = join.faces.map((id) => faceName(summary, id));
  return join.mirrored ? [...names, texts.mirrorImage] : names;
}

/** The order that a measure of joins belongs to, or null. */
export function orderOf(measure) {
  return (
    {
      'join.position': 'g0',
      'join.open': 'g0',
      'join.tangent': 'g1',
      'join.curvature': 'g2',
      'join.curvature_slope': 'g3',
      'centre.position': 'g0',
      'centre.tangent': 'g1',
      'centre.curvature_slope': 'g3',
    }[measure] ?? null
  );
}

/** The unit of an order's values as limits, heat-map and traces have them: jumps of curvature are relative. */
export const ORDER_UNIT = Object.freeze({ g0: 'mm', g1: 'deg', g2: 'share', g3: 'share' });

/** The largest value of a measure on a join, in its `ORDER_UNIT`, or null where the measure does not apply. */
export function joinValue(join, measure) {
  const record = join[measure];
  const value = ORDER_UNIT[measure] === 'share' ? record?.max_rel : record?.max;
  return Number.isFinite(value) ? value : null;
}

/** True when some faces of a model have images on the other side of its centre plane. */
export function hasImages(model) {
  const mirror = model?.summary.mirror;
  return Boolean(mirror) && mirror.pairs.length + mirror.own.length > 0;
}

/** Size of a model: the diagonal of its box in mm. */
export function diagonal(summary) {
  const box = summary?.bbox;
  if (!box) return 0;
  return Math.hypot(...box[0].map((low, i) => box[1][i] - low));
}

/** Number of faces. */
export function faceTotal(summary) {
  return Object.values(summary?.counts?.faces ?? {}).reduce((a, b) => a + b, 0);
}
