// The legend of the patches by role.

import { el } from './dom.js';
import { count } from './format.js';
import { ROLES } from './layout.js';
import { texts } from './texts.js';

const words = texts.layout;

export function layoutLegend({ layout }) {
  if (!layout) return null;
  return el(
    'figure',
    { class: 'legend', id: 'legend-roles' },
    el('figcaption', {}, el('b', {}, words.legend)),
    ROLES.map((role) => el('p', {}, el('span', { class: `hatched ${role}`, 'aria-hidden': 'true' }), words.role[role], ' ', el('b', {}, count(layout.roles[role].length)))),
  );
}
