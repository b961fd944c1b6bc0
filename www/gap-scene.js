// The Gaps pass on the model: gaps coloured by a value, the chosen one under a band, the station, exposed edges dashed, two edges taken.

import { chosenGap } from './gaps.js';
import { findingKey } from './records.js';

/** Steps of an exposed edge in a dash, and as many in the space behind it. Fewer are a solid line from afar. */
const DASH = 2;

const none = new Float64Array();
const flatten = (lines) => Float64Array.from(lines.flat(2));

export function tellGaps(viewer, { work }) {
  const here = work.pass === 'gaps' && work.gaps;
  const all = here ? work.gaps.between : [];
  const { value, at } = work.gapView;
  const lines = (name, list, look) => viewer.set_layer(name, flatten(list), Uint32Array.from(list, ({ length }) => length), look);
  const levels = here ? Float64Array.from(work.gaps.levels[value], (x) => x ?? NaN) : none;
  viewer.set_net('gaps 2', Float64Array.from(all.flatMap(({ middle }) => middle)), Uint32Array.from(all, ({ stations }) => stations.length), Float64Array.from(all.flatMap(({ legs }) => legs[value]), (x) => x ?? NaN), levels, { ink: 'dark', width: 3, through: false });
  const gap = all[chosenGap(work, findingKey)] ?? null;
  viewer.set_layer('gaps 1', Float64Array.from(gap?.middle ?? []), Uint32Array.from(gap ? [gap.stations.length] : []), { ink: 'accent', width: 10, through: true });
  const station = gap?.stations[at] ?? null;
  lines('gaps 3', station ? [station.points] : [], { ink: 'second', width: 5, through: true });
  const edges = here && work.gapView.exposed ? work.gaps.exposed.flatMap((one) => one.lines) : [];
  lines('gaps 4', edges.flatMap(dashes), { ink: 'first', width: 4, through: false });
  const ways = here && work.edgesFound ? pairs(work.edgesFound.between.ways) : [];
  lines('gaps 5', ways, { ink: 'second', width: 1.5, through: true });
}

/** Every other stretch of a line. */
function dashes(line) {
  return line.slice(1).flatMap((to, i) => (i % (2 * DASH) < DASH ? [[line[i], to]] : []));
}

function pairs(flat) {
  const all = [];
  for (let i = 0; i + 5 < flat.length; i += 6) all.push([flat.slice(i, i + 3), flat.slice(i + 3, i + 6)]);
  return all;
}
