// The legend of the patches by zone.

import { el } from './dom.js';
import { count } from './format.js';
import { ZONES } from './protocol.js';
import { texts } from './texts.js';
import { ZONE_LOOKS, zonesNow, zonesShown } from './zones.js';

export function zoneLegend(state) {
  if (!zonesShown(state.work)) return null;
  const all = zonesNow(state);
  const row = (zone, place) =>
    el('p', {}, el('span', { class: `hatched ${ZONE_LOOKS[place].look}`, 'aria-hidden': 'true' }), texts.zones[zone], ' ', el('b', {}, count(all.filter((one) => one === place).length)));
  return el('figure', { class: 'legend', id: 'legend-zones' }, el('figcaption', {}, el('b', {}, texts.zoning.legend)), ZONES.map(row));
}
