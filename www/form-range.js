// What the colours by form run over: from percentiles of the area, or as set by hand. The percentiles come from the core.

import { fields, flag, list, number, oneOf, orNull, refuse, whole } from './outside.js';
import { hasImages } from './records.js';
import { texts } from './texts.js';
import { zonesShown } from './zones.js';

/** Values of form whose sign counts; their map is centred on zero. */
const SIGNED = Object.freeze(['gaussian', 'mean', 'max', 'min', 'fair', 'sides', 'reference']);

/** Views of values sampled over the faces, which the worker is asked for when they are chosen. */
export const SAMPLED = Object.freeze(['fair', 'sides', 'reference', 'tilt']);

/** Unit of each view's values. */
export const FORM_UNIT = Object.freeze({ gaussian: '1/mm2', mean: '1/mm', max: '1/mm', min: '1/mm', radius: 'mm', fair: 'mm', sides: 'mm', reference: 'mm', tilt: 'deg' });

/** Views in their order. */
export const FORM_VIEWS = Object.freeze(['none', 'gaussian', 'mean', 'max', 'min', 'radius', 'face', 'fair', 'sides']);

/** Most of the area that may be left out at each end, %. */
export const MOST_CUT = 45;

/** True when left is coloured against right in the Centre line pass. */
export const centreMap = ({ pass, centre, model }) => pass === 'centre' && centre.map && hasImages(model);

/** The sampled values that the picture wants now: a view, or null. */
export function wantedMap({ work, review }) {
  if (work.pass === 'form' && SAMPLED.includes(review.form.view)) return review.form.view;
  if (work.pass === 'reference') return work.reference?.held ? referenceMap(work) : null;
  return centreMap(work) ? 'sides' : null;
}

/** How the Reference pass colours: by the distance, or by how far highlights differ, where that is known. */
export const referenceMap = ({ reference, referenceView }) => (referenceView.map === 'tilt' && reference?.held?.distances?.tilt ? 'tilt' : 'reference');

/** What colours the surfaces now: the Form pass's own view, roles in the Layout pass, left against right, or the distance to the reference, each in its pass. */
export function shownForm({ work, review: { form } }) {
  // No isolines: where model and reference are one, that of zero would follow rounding.
  if (work.pass === 'reference') {
    const view = work.reference?.held ? referenceMap(work) : 'none';
    const end = work.referenceView.ends[view];
    return { ...form, lines: false, view, range: end ? [isSigned(view) ? -end : 0, end] : null, step: null };
  }
  const own = { overview: zonesShown(work) && 'face', layout: 'face', fillets: 'face', centre: centreMap(work) ? 'sides' : 'none' }[work.pass];
  return own ? { ...form, view: own, range: null, step: null } : form;
}

/** A flat surface's radius in the legend, mm: larger shows nobody anything. */
const FLAT = 1e6;

/** Smallest end of a map that percentiles give, so that a flat model does not show the last digits: 1/mm², else 1e-5 1/mm. */
const FLATTEST = { gaussian: 1e-8, fair: 1e-4, sides: 1e-4, reference: 1e-4 };

/** Isolines from zero to the end of a signed map. More run together where the surface bends at all. */
const LINES = 5;

/** True for a view whose zero is the middle of its map. */
export const isSigned = (view) => SIGNED.includes(view);

/** [start, end] of the map, or null while it is not known. `known`: {ranges} as the worker told it. */
export function shownRange(form, known) {
  if (!(form.view in FORM_UNIT)) return null;
  if (form.range) return form.range;
  const all = known?.ranges[form.view];
  if (!all?.length) return null;
  const [low, high] = [all[form.cut], all[all.length - 1 - form.cut]].map((value) => value ?? FLAT);
  if (isSigned(form.view)) {
    const end = Math.max(Math.abs(low), Math.abs(high), FLATTEST[form.view] ?? 1e-5);
    return [-end, end];
  }
  // A tilt has a true zero.
  if (form.view === 'tilt') return [0, Math.max(high, 1e-3)];
  return [low, Math.max(high, low * 1.01)];
}

/** From isoline to isoline: of radii one doubling, else a round part of the range unless it is set by hand. */
export function shownStep(form, range) {
  if (form.view === 'radius') return 1;
  return form.step ?? round(range[1] / LINES);
}

/** The nearest 1, 2 or 5 times a power of ten above. */
function round(value) {
  const power = 10 ** Math.floor(Math.log10(value));
  return ([1, 2, 5].find((m) => m * power >= value * (1 - 1e-9)) ?? 10) * power;
}

/** What colours the surfaces in the Form pass, out of any JSON value. */
export function readForm(value, path, usual) {
  const read = fields(value, path, usual, {
    view: (one, at) => oneOf(one, at, FORM_VIEWS),
    cut: (x, at) => whole(x, at, 0, MOST_CUT),
    range: orNull((ends, at) => list(ends, at, 2, 2).map((x, i) => number(x, `${at}.${i}`))),
    lines: flag,
    step: orNull((x, at) => number(x, at, Number.MIN_VALUE)),
    limit: (x, at) => number(x, at, 0),
    swapped: flag,
  });
  if (read.range) {
    const [low, high] = read.range;
    const fits = isSigned(read.view) ? low === -high && high > 0 : low > 0 && low < high;
    if (!fits) refuse(`${path}.range`, isSigned(read.view) ? texts.outside.middle : texts.outside.range);
  }
  return read;
}
