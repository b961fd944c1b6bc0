// The legend of the Fillets pass.

import { el } from './dom.js';
import { count } from './format.js';
import { texts } from './texts.js';

const words = texts.fillets;

export function filletLegend({ fillets }) {
  if (!fillets) return null;
  const faces = fillets.edges.reduce((sum, edge) => sum + edge.faces.length, 0);
  const row = (look, said, n) => el('p', {}, el('span', { class: `hatched ${look}`, 'aria-hidden': 'true' }), said, ' ', el('b', {}, count(n)));
  return el('figure', { class: 'legend', id: 'legend-fillets' }, el('figcaption', {}, el('b', {}, words.legend)), row('transition', words.fillet, faces), fillets.corners.length > 0 && row('detail', words.corner, fillets.corners.length));
}
