// The Layout pass: roles, the plan map, the chosen patch, the chains of edges, and what there is to look at.

import { el, replace, tick } from './dom.js';
import { count, quantity } from './format.js';
import { ROLES, breaksOf, chainFlight, chosenChain, neighbours } from './layout.js';
import { mountLooks } from './layout-looks.js';
import { linkLegend, markChosen, planMap, roleMark } from './plan-map.js';
import { patchFacts } from './patch-facts.js';
import { faceName } from './records.js';
import { texts } from './texts.js';

const words = texts.layout;

/** Chains and patches listed by themselves. More are a list that nobody reads to its end. */
const LISTED = 8;
const FACES = 60;

export function mountLayout(root, store) {
  const block = (id) => el('div', { class: 'block', id });
  const [roles, looks, map, patch, flow, faces] = ['layout-roles', 'layout-looks', 'layout-map', 'layout-patch', 'layout-flow', 'layout-faces'].map(block);
  replace(root, roles, looks, map, patch, flow, faces);
  const take = (face, fly) => store.dispatch({ type: 'choose-face', face, flight: fly ? { face } : undefined });

  store.watch(
    ({ work }) => [work.layout, work.layoutView.roles, work.model],
    ({ work }) => {
      const { layout, model } = work;
      if (!layout) {
        replace(roles, model && el('p', { class: 'quiet' }, words.waiting));
        [map, faces].forEach((one) => replace(one));
        return;
      }
      replace(roles, el('h3', {}, words.roles), roleButtons(work, store), el('p', { class: 'quiet' }, words.rolesHint));
      drawMap(map, work, take);
      replace(faces, faceLists(work, take));
    },
  );
  store.watch(
    ({ work }) => [work.layout, work.layoutView.roles, work.selection.face],
    ({ work: { selection, layout } }) => layout && [...map.querySelectorAll('.plan-map')].forEach((one) => markChosen(one, selection.face)),
  );
  store.watch(
    ({ work }) => [work.layout, work.selection.face],
    ({ work }) => {
      const record = work.layout?.faces[work.selection.face];
      replace(patch, work.layout && [el('h3', {}, words.patch), record ? patchFacts(record, work, neighbours(work.layout, record.face)) : el('p', { class: 'quiet' }, words.none)]);
    },
  );
  store.watch(
    ({ work }) => [work.layout, work.layoutView, work.selection],
    ({ work }) => replace(flow, work.layout && chains(work, store)),
  );
  mountLooks(looks, store);
}

function roleButtons({ layout, layoutView }, store) {
  return el(
    'div',
    { role: 'group', 'aria-label': words.roles, class: 'role-rows' },
    ROLES.map((role) =>
      el(
        'button',
        {
          type: 'button',
          id: `role-${role}`,
          class: 'role-row',
          title: words.roleNote[role],
          'aria-pressed': String(layoutView.roles[role]),
          on: { click: () => store.dispatch({ type: 'set-layout-view', view: { roles: { ...layoutView.roles, [role]: !layoutView.roles[role] } } }) },
        },
        roleMark(role),
        el('span', { class: 'role-name' }, words.role[role]),
        el('b', {}, count(layout.roles[role].length)),
        el('span', { class: 'role-kinds' }, kindsOf(layout, role)),
      ),
    ),
  );
}

/** How many of which surface a role has, the most first. */
function kindsOf({ faces, roles }, role) {
  const counts = {};
  for (const face of roles[role]) counts[faces[face].kind] = (counts[faces[face].kind] ?? 0) + 1;
  const sorted = Object.entries(counts).toSorted(([, a], [, b]) => b - a);
  return words.kinds(sorted.map(([kind, n]) => words.kind(count(n), texts.kinds[kind] ?? kind)));
}

function drawMap(root, work, take) {
  const { layout } = work;
  if (layout.map.nodes.length === 0) return replace(root);
  const large = el('dialog', { class: 'plan-dialog', 'aria-label': words.map });
  const close = el('button', { type: 'button', id: 'plan-close', on: { click: () => large.close() } }, words.smaller);
  large.append(planMap('plan-large', work, take), close);
  const open = el('button', { type: 'button', id: 'plan-open', on: { click: () => large.showModal() } }, words.larger);
  replace(root, el('h3', {}, words.map), el('p', { class: 'quiet' }, `${words.mapAlong[layout.map.along]} ${words.mapHint}`), planMap('plan', work, take), linkLegend(layout), open, large);
}

function faceLists({ layout, layoutView, model }, take) {
  const met = new Map();
  for (const { faces } of layout.map.links) for (const face of faces) met.set(face, (met.get(face) ?? 0) + 1);
  const row = (face) =>
    el(
      'li',
      {},
      el(
        'button',
        { type: 'button', id: `layout-face-${face}`, class: 'line-row', on: { click: () => take(face, true) } },
        el('span', {}, faceName(model.summary, face)),
        el('span', { class: 'line-length' }, words.meetsCount(met.get(face) ?? 0)),
      ),
    );
  return el(
    'details',
    {},
    el('summary', {}, words.faces),
    ROLES.filter((role) => layoutView.roles[role] && layout.roles[role].length > 0).map((role) => {
      const all = layout.roles[role].toSorted((a, b) => layout.faces[b].area - layout.faces[a].area);
      return [
        el('h4', {}, words.listed(words.role[role], all.length)),
        el('ul', { class: 'look-list' }, all.slice(0, FACES).map(row)),
        all.length > FACES && el('p', { class: 'quiet' }, words.more(count(all.length - FACES))),
      ];
    }),
  );
}

function chains(work, store) {
  const { layout, joins, layoutView } = work;
  if (layout.chains.length === 0) return [el('h3', {}, words.flow), el('p', { class: 'quiet' }, words.flowNone)];
  const chosen = chosenChain(work);
  const shown = layout.chains.slice(0, LISTED).map((_, i) => i);
  if (chosen !== null && chosen >= LISTED) shown.push(chosen);
  return [
    el('h3', {}, words.flow),
    el('p', { class: 'quiet' }, words.flowHint),
    tick('chains-all', words.all, layoutView.all, (all) => store.dispatch({ type: 'set-layout-view', view: { all } })),
    el(
      'ul',
      { class: 'look-list', id: 'chain-list' },
      shown.map((i) => {
        const chain = layout.chains[i];
        const pick = { chain: i === chosen ? null : i, flight: i === chosen ? undefined : chainFlight(chain, joins) };
        return el(
          'li',
          {},
          el(
            'button',
            { type: 'button', id: `chain-${i}`, class: 'line-row', 'aria-pressed': String(i === chosen), data: { length: String(chain.length), breaks: String(breaksOf(chain).length) }, on: { click: () => store.dispatch({ type: 'choose-layout', ...pick }) } },
            el('span', {}, words.chain(i + 1)),
            el('span', { class: 'line-length' }, quantity(chain.length, 'mm')),
            el('span', { class: 'line-odd' }, `${words.joins(chain.joins.length)}, ${endsOf(chain)}`),
          ),
        );
      }),
    ),
    layout.chains.length > LISTED && el('p', { class: 'quiet' }, words.more(count(layout.chains.length - LISTED))),
  ];
}

function endsOf({ ends }) {
  if (ends.length < 2) return words.closed;
  const told = ends.map(({ stop, off }) => (stop === 'turn' && off !== null ? `${words.stop[stop]} (${quantity(off, 'deg')})` : words.stop[stop]));
  return words.ends(...told);
}
