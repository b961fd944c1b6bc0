// What the store says, told to the renderer: colours, lamps, the measure of the joins, what is chosen and marked.

import { SAMPLED, centreMap, shownForm, shownRange, shownStep } from './form-range.js';
import { settings } from './lamp-rig.js';
import { diagonal, findingKey, hasImages, placePoint } from './records.js';
import { shownTrace } from './trials.js';
import { isBehind } from './underlay.js';
import { zonesShown } from './zones.js';

/** The colours of the page around `canvas`; no ground is drawn while a picture lies behind the model. */
export function tellTheme(viewer, canvas, state) {
  const page = getComputedStyle(canvas.parentElement);
  viewer.set_theme({ paper: rgb(page.backgroundColor), ink: rgb(page.color), clear: isBehind(state) });
}

/** What colours the surfaces: in the Layout, Form and Centre line passes only, and not before the range is known. */
export function tellForm(viewer, state) {
  const { work } = state;
  const form = shownForm(state);
  const here = ['form', 'centre', 'layout', 'fillets', 'reference'].includes(work.pass) || zonesShown(work);
  const classed = work.pass === 'overview' ? work.zones : work.pass === 'layout' ? work.layout : work.pass === 'fillets' ? work.fillets : work.form;
  const there = !SAMPLED.includes(form.view) || work.mapped === form.view;
  const range = here && there ? shownRange(form, work.form) : null;
  const view = here && (range || (form.view === 'face' && classed)) ? form.view : 'none';
  const [low, high] = range ?? [-1, 1];
  const { limit, swapped } = form;
  viewer.set_form({ view, low, high, step: range && form.lines ? shownStep(form, range) : 0, limit, swapped });
}

/** The stripes of the lamp rig; none where the joins or the form are what is judged. */
export function tellStripes(viewer, { work, review }) {
  const { lamps } = review;
  const family = ['layout', 'joins', 'centre', 'form', 'rows', 'fillets', 'gaps', 'reference'].includes(work.pass) || zonesShown(work) ? 'none' : lamps.family;
  // Beside another model the lamps are the other's.
  const { size, middle } = work.rigOf ?? { size: diagonal(work.model?.summary) || 1000 };
  viewer.set_stripes({ ...settings(lamps, family, size), middle });
}

/** What colours the joins. */
export function tellMeasure(viewer, { work }) {
  const shown = work.pass === 'joins' || (work.pass === 'centre' && !centreMap(work));
  viewer.set_join_measure(shown ? work.measure : 'none', work.limits?.[work.measure]?.limits ?? []);
}

/** The centre plane and the model's image in it, in its own pass. */
export function tellMirror(viewer, { work }) {
  const mirror = work.model?.summary.mirror;
  const shown = work.pass === 'centre' && mirror && (work.centre.image ?? !hasImages(work.model));
  viewer.set_mirror(shown ? { normal: mirror.normal, offset: mirror.offset } : null);
}

/** The face and the join that are chosen, and the lines of the chosen finding. */
export function tellChoice(viewer, { work }) {
  const lines = findingOf(work)?.drawn ?? [];
  viewer.set_lines(Float64Array.from(lines.flat()), Uint32Array.from(lines, (line) => line.length / 3));
  viewer.highlight_face(work.selection.face ?? -1);
  viewer.highlight_join(work.selection.join ?? -1);
}

/** The marked point: the station under the pointer, else the place of the chosen finding. */
export function tellMark(viewer, { work }) {
  const { station: i } = work;
  const { trace } = shownTrace(work);
  const p = trace && i !== null ? trace.points.slice(3 * i, 3 * i + 3) : placeOfChoice(work);
  if (p?.length === 3) viewer.marker(p[0], p[1], p[2]);
  else viewer.marker();
}

/** The place of the chosen finding, or null. */
function placeOfChoice(work) {
  const finding = findingOf(work);
  return finding ? placePoint(finding) : null;
}

function findingOf({ selection, findings }) {
  return findings.find((one) => findingKey(one) === selection.finding);
}

/** A computed colour as [r, g, b] from 0 to 1. */
function rgb(text) {
  const numbers = text.match(/[\d.]+/g) ?? [];
  const scale = text.startsWith('color(') ? 1 : 255;
  return numbers.slice(0, 3).map((n) => Number(n) / scale);
}
