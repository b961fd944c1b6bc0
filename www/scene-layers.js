// What the store says, told to the renderer as layers over the model: combs and what the probe reads.

import { combWish } from './combs.js';
import { chosenLine } from './lines.js';
import { diagonal } from './records.js';
import { sectionWish, shownTeeth } from './sections.js';

/** Height of the longest tooth at height 1, as a share of the model's size. Larger hides the model; smaller hides the teeth. */
const TOOTH = 0.06;

/** Strokes of the sides: besides colour the second is thicker, so that they are told apart without it. */
const LOOKS = { first: { ink: 'first', width: 1.25, through: false }, second: { ink: 'second', width: 2.5, through: false } };

const RING = { ink: 'accent', width: 9, through: false };

/** Points as dots. */
function dots(viewer, name, flat, look) {
  viewer.set_layer(name, Float64Array.from(flat), new Uint32Array(flat.length / 3).fill(1), look);
}

/** The combs that were found, while they are still wanted. */
export function tellCombs(viewer, { work }) {
  const { combsFound: found, combs, model } = work;
  const wanted = combWish(work);
  const shown = found && wanted && found.wish.join === wanted.join && found.wish.face === wanted.face ? found.sets : [];
  const most = Math.max(0, ...shown.map((set) => Math.abs(set.most ?? 0)));
  const scale = most > 0 ? (combs.height * TOOTH * diagonal(model.summary)) / most : 0;
  for (const side of ['first', 'second']) {
    const set = shown.find((one) => one.side === side);
    // Layers are drawn by name: the first side's thin strokes come over the second side's thick ones, so that neither hides the other.
    viewer.set_combs(side === 'first' ? 'combs 2' : 'combs 1', Float64Array.from(set?.teeth ?? []), Uint32Array.from(set?.counts ?? []), scale, LOOKS[side]);
  }
  dots(viewer, 'inflections', shown.flatMap((set) => set.inflections), RING);
}

/** The sections that were found, while some are wanted; a drag shows the last ones until the next come. */
export function tellSections(viewer, { work }) {
  const { sectionsFound: found, sections, model } = work;
  const cuts = sectionWish(work) && found ? found.cuts : null;
  const combs = sections.combs && work.pass === 'form' ? cuts?.combs : null;
  const shown = shownTeeth({ teeth: combs?.teeth ?? [] });
  const scale = shown.scale * sections.height * TOOTH * (diagonal(model?.summary) || 1);
  viewer.set_layer('sections', Float64Array.from(cuts?.points ?? []), Uint32Array.from(cuts?.counts ?? []), { ink: 'dark', width: 1.75, through: false });
  const other = work.pass === 'reference' ? cuts?.reference : null;
  viewer.set_layer('reference sections', Float64Array.from(other?.points ?? []), Uint32Array.from(other?.counts ?? []), { ink: 'second', width: 2.5, through: false });
  viewer.set_combs('section combs', Float64Array.from(shown.teeth), Uint32Array.from(combs?.counts ?? []), scale, LOOKS.first);
  dots(viewer, 'section inflections', combs?.inflections ?? [], RING);
}

/** A sweep's parameter lines; hatching over what is missing of the reference, seen through the model, and over what the model has beyond it, in the Reference pass. */
export function tellReference(viewer, { work }) {
  const hatch = work.pass === 'reference' ? work.reference?.held?.hatch : null;
  const lines = (name, flat, look) => viewer.set_layer(name, Float64Array.from(flat ?? []), new Uint32Array((flat ?? []).length / 6).fill(2), look);
  const net = work.pass === 'reference' ? work.reference?.held?.net : null;
  viewer.set_layer('sweep', Float64Array.from(net?.points ?? []), Uint32Array.from(net?.counts ?? []), { ink: 'second', width: 1.25, through: false });
  lines('missing', hatch?.missing, { ink: 'accent', width: 2.5, through: true });
  lines('extra', hatch?.extra, { ink: 'first', width: 1.5, through: false });
}

/** The chosen feature line in the Form pass, with what is ringed on it; corners in the Joins pass. */
export function tellLines(viewer, { work }) {
  const line = work.pass === 'form' ? chosenLine(work) : null;
  viewer.set_layer('feature line', Float64Array.from(line?.points ?? []), Uint32Array.from(line ? [line.points.length / 3] : []), { ink: 'first', width: 4, through: false });
  const rings = line ? [...line.flips.flatMap(({ zeros }) => zeros), ...line.plan_inflections, ...line.side_inflections] : [];
  dots(viewer, 'feature rings', rings.flat(), RING);
  const corners = work.pass === 'joins' && work.cornersOn ? (work.lines?.corners ?? []) : [];
  dots(viewer, 'corners', corners.flatMap(({ at }) => at), { ink: 'first', width: 8, through: false });
}

/** Places, directions and ways that the probe has read; in the Form pass only. */
export function tellProbe(viewer, { work }) {
  const found = work.pass === 'form' ? work.probe.found : null;
  const points = (found?.points ?? []).filter(Boolean);
  const arms = points.filter((p) => p.form).flatMap((p) => p.form.arms);
  const way = (a, b) => [...a, ...b];
  const last = points.at(-1)?.point;
  const ways = [
    ...(found?.between && points.length > 1 ? [way(points[0].point, last)] : []),
    ...(found?.nearest && last ? [way(last, found.nearest.point)] : []),
  ];
  const lines = (name, all, look) => viewer.set_layer(name, Float64Array.from(all.flat()), new Uint32Array(all.length).fill(2), look);
  lines('probe arms', arms, { ink: 'dark', width: 2, through: true });
  lines('probe ways', ways, { ink: 'accent', width: 2, through: true });
  dots(viewer, 'probe places', points.flatMap((p) => p.point), { ink: 'accent', width: 8, through: true });
}
