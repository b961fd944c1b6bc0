// What the Gaps pass shares: which gap is chosen, what is read at a station, where the camera goes. The geometry comes from the core.

/** What colours a gap and is plotted along it. */
export const VALUES = Object.freeze(['width', 'flush', 'change', 'radius']);

/** The chosen gap's index: the one picked, or that of the chosen finding; null while none is. */
export function chosenGap({ gaps, gapView, selection, findings }, keyOf) {
  if (!gaps) return null;
  if (gapView.of === selection) return gapView.gap;
  const finding = findings.find((one) => keyOf(one) === selection.finding);
  if (!finding?.measure.startsWith('gap.')) return null;
  const all = gaps.between.findIndex(({ faces }) => finding.faces.every((face) => faces.flat().includes(face)));
  return all < 0 ? null : all;
}

/** Curves of a value along a gap, one or two lists, in the order of its stations. */
export function curvesOf({ stations }, value) {
  return value === 'radius' ? [0, 1].map((side) => stations.map(({ radii }) => radii[side])) : [stations.map((one) => one[value])];
}

/** Below this, mm, a value is the last digits of double precision, which nobody needs to read. */
const NOISE = 1e-6;

/** A value as it is shown. */
export const shown = (x) => (Math.abs(x) < NOISE ? 0 : x);

/** [least, greatest] of lists of numbers, null where there are none. */
export function rangeOf(curves) {
  const all = curves.flat().filter((x) => x !== null && Number.isFinite(x));
  return all.length > 0 ? [Math.min(...all), Math.max(...all)] : null;
}

/** Where the camera flies for a gap: the station half way along. */
export function gapFlight({ stations, middle, faces, length }) {
  const i = Math.floor(stations.length / 2);
  return { point: middle.slice(3 * i, 3 * i + 3), faces: [faces[0][0]], size: length / 2 };
}
