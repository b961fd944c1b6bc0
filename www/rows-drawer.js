// The drawer of the Control rows pass: steps from row to row, and the trace, the plan and profile, or the table of patches.

import { choice, el, replace } from './dom.js';
import { faceName } from './records.js';
import { rowOf, rowsOf } from './rows.js';
import { mountRowPlot } from './rows-plot.js';
import { mountRowProfile } from './rows-profile.js';
import { stepPatch, stepRow, toggleSight, turnRow } from './rows-sight.js';
import { mountPatchTable } from './rows-table.js';
import { texts } from './texts.js';

const words = texts.rows;

export function mountRowDrawer(root, store) {
  root.setAttribute('aria-label', words.drawer);
  const head = el('div', { class: 'trace-head' });
  const bodies = { trace: el('div', { class: 'row-body' }), profile: el('div', { class: 'row-body' }), patches: el('div', { class: 'row-body table' }) };
  replace(root, head, Object.values(bodies));
  mountRowPlot(bodies.trace, store);
  mountRowProfile(bodies.profile, store);
  mountPatchTable(bodies.patches, store);
  store.watch(
    ({ work }) => [work.pass, work.model, rowOf(work), rowsOf(work), work.rows.view, work.rows.folded, work.rows.sight, work.patches],
    ({ work }) => {
      root.hidden = work.pass !== 'rows' || !work.model;
      if (root.hidden) return;
      const view = rowOf(work) ? work.rows.view : 'patches';
      root.classList.toggle('folded', work.rows.folded);
      replace(head, headOf(work, view, store));
      for (const [name, body] of Object.entries(bodies)) body.hidden = name !== view || work.rows.folded;
    },
  );
}

function headOf(work, view, store) {
  const { along, index, sight, folded } = work.rows;
  const found = rowsOf(work);
  const row = rowOf(work);
  const set = (rows) => store.dispatch({ type: 'set-rows', rows });
  const button = (id, label, click, off = false, props = {}) => el('button', { type: 'button', id, 'aria-disabled': off ? 'true' : null, on: { click: () => off || click() }, ...props }, label);
  const step = (name, key) => ({ 'aria-label': words[name], title: `${words[name]} (${key})` });
  const views = ['trace', 'profile', 'patches'].filter((name) => row || name === 'patches').map((name) => ({ id: `rows-view-${name}`, value: name, label: words.views[name] }));
  const ways = ['u', 'v'].map((way) => ({ id: `row-along-${way}`, value: way, label: words.along[way] }));
  const few = (work.patches ?? []).length === 0;
  return [
    el('h2', { class: 'net-title' }, row ? words.title(index, found[along].length, along) : words.drawer, row && el('span', { class: 'net-face' }, faceName(work.model.summary, found.face))),
    row && el('span', { class: 'row-group' }, [
      button('row-before', words.beforeShort, () => stepRow(store, -1), index === 0, step('before', ',')),
      button('row-after', words.afterShort, () => stepRow(store, 1), index >= found[along].length - 1, step('after', '.')),
      choice(words.direction, ways, along, (way) => turnRow(store, way)),
      button('row-sight', words.sightShort, () => toggleSight(store), !row.profile, { 'aria-pressed': String(sight), ...step('sight', 'S') }),
    ]),
    el('span', { class: 'row-group' }, button('patch-before', words.patchBeforeShort, () => stepPatch(store, -1), few, step('patchBefore', 'B')), button('patch-after', words.nextPatchShort, () => stepPatch(store, 1), few, step('nextPatch', 'N'))),
    el(
      'span',
      { class: 'row-group last' },
      views.length > 1 && choice(words.view, views, view, (to) => set({ view: to, folded: false })),
      button('rows-fold', folded ? words.unfold : words.fold, () => set({ folded: !folded }), false, { 'aria-expanded': String(!folded) }),
    ),
  ];
}
