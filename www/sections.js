// Plane sections: what is asked of the worker, from what is chosen.

import { diagonal } from './records.js';

/** Planes across the whole model by default. */
const PLANES = 15;
/** Teeth over the size of the model by default. */
const TEETH = 150;

const round = (mm) => Number(mm.toPrecision(1));

/** Spacing of planes and teeth, mm: as chosen, else by the size of the model. */
export function sectionSizes({ sections, model }) {
  const size = diagonal(model?.summary) || 1000;
  return { spacing: sections.spacing ?? round(size / PLANES), tooth: sections.tooth ?? round(size / TEETH) };
}

/** [least, greatest] distance from the origin of planes square to an axis that can meet the model, mm. */
export function sectionReach({ sections: { axis }, model }) {
  const box = model?.summary.bbox;
  const length = Math.hypot(...axis);
  if (!box || !(length > 0)) return [-1, 1];
  const ends = axis.map((a, i) => [box[0][i] * a, box[1][i] * a].sort((x, y) => x - y));
  return [0, 1].map((k) => ends.reduce((sum, end) => sum + end[k], 0) / length);
}

/** What sections are wanted now: {axis, spacing, at, tooth}, or null for none. */
export function sectionWish(work) {
  const { pass, sections, model } = work;
  const here = pass === 'form' || (pass === 'reference' && work.reference?.held);
  if (!model || !here || !sections.on || !(Math.hypot(...sections.axis) > 0)) return null;
  const { spacing, tooth } = sectionSizes(work);
  const [low, high] = sectionReach(work);
  const at = sections.single ? Math.min(high, Math.max(low, sections.at ?? 0.5 * (low + high))) : null;
  return { axis: sections.axis, spacing, at, tooth: sections.combs ? tooth : null };
}

/** True when two states want the same sections. */
export function sameSections(a, b) {
  return a.model === b.model && JSON.stringify(sectionWish(a)) === JSON.stringify(sectionWish(b));
}

/** Numbers of a tooth: point, normal, curvature. */
const ROW = 7;
/** Share of the teeth that height 1 is meant for: the rest are fillets, beside which panels would have no teeth to be seen. */
const SHARE = 0.85;
/** Longest tooth drawn, in heights. Longer ones hide the model. */
const LONGEST = 2;

/** Teeth as they are drawn: {teeth, scale: length at height 1 and curvature 1 in heights, short: number of those cut short}. */
export function shownTeeth({ teeth }) {
  const sizes = [];
  for (let i = ROW - 1; i < teeth.length; i += ROW) sizes.push(Math.abs(teeth[i]));
  const usual = sizes.toSorted((a, b) => a - b)[Math.floor(sizes.length * SHARE)] ?? 0;
  if (!(usual > 0)) return { teeth, scale: 0, short: 0 };
  const most = LONGEST * usual;
  const shown = teeth.map((x, i) => (i % ROW === ROW - 1 ? Math.min(most, Math.max(-most, x)) : x));
  return { teeth: shown, scale: 1 / usual, short: sizes.filter((k) => k > most).length };
}
