// The plan map: the patches as marks, the joins between them as lines. A list of choices for the keyboard and for those who do not
// see it; shape and colour say the role, dashes what the joins are.

import { el, svg } from './dom.js';
import { ROLES } from './layout.js';
import { faceName } from './records.js';
import { texts } from './texts.js';

const words = texts.layout;

/** Units of the drawing along its longer side, and room around it for the ring of the chosen mark. */
const SIZE = 300;
const ROOM = 10;
/** From how many lines on they are thin, so that they do not run together. */
const DENSE = 150;

/** What a line looks like, by the class that most of a pair's joins have. */
const LOOK = { g3: 'smooth', g2: 'smooth', g1: 'smooth', outline: 'open' };
const lookOf = (link) => LOOK[link.class] ?? link.class;

const HEADINGS = { ArrowRight: [1, 0], ArrowLeft: [-1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

/** Arrows need not lead to every mark. */
const TURNS = { PageUp: -1, PageDown: 1 };

/** `take(face, fly)` chooses a face; `id` tells two maps on one page apart. */
export function planMap(id, { layout, model, layoutView }, take) {
  const { nodes, links, size } = layout.map;
  const at = new Map(nodes.map((node) => [node.face, node]));
  const meets = new Map(nodes.map(({ face }) => [face, []]));
  for (const { faces: [a, b] } of links) {
    meets.get(a)?.push(b);
    meets.get(b)?.push(a);
  }
  const roleOf = (face) => layout.faces[face].role;
  const hidden = (face) => !layoutView.roles[roleOf(face)];
  const lines = links
    .filter(({ faces }) => faces.every((face) => at.has(face)))
    .map((link) => {
      const [a, b] = link.faces.map((face) => at.get(face));
      const dim = link.faces.some(hidden) ? ' dim' : '';
      return svg('line', { class: `plan-link ${lookOf(link)}${dim}`, data: { faces: link.faces.join(' ') }, x1: a.x * SIZE, y1: a.y * SIZE, x2: b.x * SIZE, y2: b.y * SIZE });
    });
  const marks = nodes.map(({ face, x, y, radius }) =>
    svg(
      'g',
      {
        id: `${id}-node-${face}`,
        class: `plan-node ${roleOf(face)}${hidden(face) ? ' dim' : ''}`,
        role: 'option',
        'aria-selected': 'false',
        'aria-label': words.node(faceName(model.summary, face), words.role[roleOf(face)], meets.get(face).length),
        transform: `translate(${(x * SIZE).toFixed(2)} ${(y * SIZE).toFixed(2)})`,
        data: { face: String(face) },
        on: { click: () => take(face, true) },
      },
      mark(roleOf(face), radius * SIZE),
      svg('circle', { class: 'plan-ring', r: radius * SIZE * 1.1 + 3.5 }),
      svg('title', {}, faceName(model.summary, face)),
    ),
  );
  const [width, height] = size.map((x) => x * SIZE + 2 * ROOM);
  const root = svg(
    'svg',
    {
      id,
      class: links.length > DENSE ? 'plan-map dense' : 'plan-map',
      viewBox: `${-ROOM} ${-ROOM} ${width.toFixed(2)} ${height.toFixed(2)}`,
      role: 'listbox',
      tabindex: 0,
      'aria-label': words.mapLabel(nodes.length),
      on: { keydown: (event) => key(event, root, nodes, take) },
    },
    svg('g', { 'aria-hidden': 'true' }, lines),
    marks,
  );
  return root;
}

/** The shape of a role, with about the same area for each. */
export function mark(role, r) {
  if (role === 'primary') return svg('circle', { r });
  const half = r * 0.886;
  const square = { x: -half, y: -half, width: 2 * half, height: 2 * half };
  return svg('rect', role === 'transition' ? { ...square, transform: 'rotate(45)' } : square);
}

/** Marks the chosen face and the lines to what it meets. */
export function markChosen(root, face) {
  root.querySelectorAll('.plan-node').forEach((node) => node.setAttribute('aria-selected', String(node.dataset.face === String(face))));
  root.querySelectorAll('.plan-link').forEach((line) => line.classList.toggle('near', line.dataset.faces.split(' ').includes(String(face))));
  if (root.querySelector('[aria-selected="true"]')) root.setAttribute('aria-activedescendant', `${root.id}-node-${face}`);
  else root.removeAttribute('aria-activedescendant');
}

/** Arrows go to the nearest mark that way, Page Up and Page Down through all of them in turn, Enter and Space fly to the chosen one. */
function key(event, root, nodes, take) {
  const chosen = root.querySelector('[aria-selected="true"]');
  const from = nodes.find(({ face }) => String(face) === chosen?.dataset.face);
  if ((event.key === 'Enter' || event.key === ' ') && from) take(from.face, true);
  else if (event.key === 'Home' && nodes.length > 0) take(nodes[0].face, false);
  else if (event.key === 'End' && nodes.length > 0) take(nodes.at(-1).face, false);
  else if (TURNS[event.key] && nodes.length > 0) take(nodes[Math.min(nodes.length - 1, Math.max(0, nodes.indexOf(from) + TURNS[event.key]))].face, false);
  else if (HEADINGS[event.key] && nodes.length > 0) take((from ? next(from, HEADINGS[event.key], nodes) : nodes[0]).face, false);
  else return;
  event.preventDefault();
  event.stopPropagation();
}

/** The nearest mark in a direction, by distance along it and twice that across; the same where there is none. */
function next(from, [dx, dy], nodes) {
  const cost = ({ x, y }) => {
    const along = (x - from.x) * dx + (y - from.y) * dy;
    const across = Math.abs((x - from.x) * dy - (y - from.y) * dx);
    return along > 1e-6 && across <= 2 * along ? along + 2 * across : Infinity;
  };
  const best = nodes.reduce((a, b) => (cost(b) < cost(a) ? b : a));
  return cost(best) < Infinity ? best : from;
}

/** What the lines' dashes mean, of those that there are. */
export function linkLegend({ map }) {
  const looks = new Set(map.links.map(lookOf));
  return el(
    'ul',
    { class: 'plan-legend' },
    Object.keys(words.links)
      .filter((look) => looks.has(look))
      .map((look) => el('li', {}, svg('svg', { viewBox: '0 0 24 8', 'aria-hidden': 'true' }, svg('line', { class: `plan-link ${look}`, x1: 0, x2: 24, y1: 4, y2: 4 })), words.links[look])),
  );
}

/** A role's mark as it stands in lists. */
export const roleMark = (role) => svg('svg', { class: 'role-mark', viewBox: '-8 -8 16 16', 'aria-hidden': 'true' }, svg('g', { class: `plan-node ${ROLES.includes(role) ? role : 'detail'}` }, mark(role, 6)));
