// The Fillets pass on the model: fillets by colour, and of the chosen one its edges, its sections and its theoretical edge.

import { chosenFillet } from './fillets.js';

/** Classes of the renderer: a fillet, a corner of fillets, all other faces; the same looks as for roles. */
const [FILLET, CORNER, OTHER] = [3, 6, 4];

/** The renderer's class of each face. */
export function filletClasses({ edges, corners }, faces) {
  const classes = new Uint8Array(faces).fill(OTHER);
  for (const { faces: own } of edges) for (const face of own) classes[face] = FILLET;
  for (const face of corners) classes[face] = CORNER;
  return classes;
}

export function tellFillets(viewer, { work }) {
  const all = work.pass === 'fillets' ? (work.fillets?.edges ?? []) : [];
  const fillet = all[chosenFillet(work) ?? -1];
  const lines = (name, list, look) => viewer.set_layer(name, Float64Array.from(list.flat()), Uint32Array.from(list, (points) => points.length / 3), look);
  viewer.set_layer('fillets 2 sections', Float64Array.from(fillet?.points ?? []), Uint32Array.from(fillet?.counts ?? []), { ink: 'dark', width: 1.5, through: true });
  lines('fillets 3 touch', fillet ? fillet.touch : [], { ink: 'dark', width: 4, through: true });
  lines('fillets 4 edge', fillet?.edge.length > 3 ? [fillet.edge] : [], { ink: 'accent', width: 5, through: true });
  viewer.set_layer('fillets 5 tangents', Float64Array.from(fillet?.tangents ?? []), new Uint32Array((fillet?.tangents.length ?? 0) / 3).fill(1), { ink: 'second', width: 5, through: true });
  lines('fillets 6 section', section(fillet, work.filletView.at), { ink: 'second', width: 6, through: true });
}

/** The section under the pointer. */
function section(fillet, at) {
  if (!fillet || at === null || at >= fillet.counts.length) return [];
  const from = fillet.counts.slice(0, at).reduce((a, b) => a + b, 0);
  return [fillet.points.slice(3 * from, 3 * (from + fillet.counts[at]))];
}
