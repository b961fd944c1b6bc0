// The Control rows pass: what rows are judged by, which nets are drawn, the chosen patch and the list of its rows.

import { choice, el, factList, replace, tick } from './dom.js';
import { number, quantity } from './format.js';
import { faceName } from './records.js';
import { ROW_MEASURES, rowLimits, rowOf, rowsOf, severityOf, wantedRows } from './rows.js';
import { turnRow } from './rows-sight.js';
import { texts } from './texts.js';

const words = texts.rows;

/** Most rows in the list: more keep the page from answering, and are stepped through instead. */
const LISTED = 400;

export function mountRowControls(root, store) {
  const [measure, nets, patch, list] = Array.from({ length: 4 }, () => el('div', { class: 'block' }));
  list.id = 'row-list';
  replace(root, measure, nets, patch, list);
  const set = (rows) => store.dispatch({ type: 'set-rows', rows });

  store.watch(
    ({ work }) => [work.rows.measure],
    ({ work: { rows } }) => {
      const options = ROW_MEASURES.map((name) => ({ id: `rows-measure-${name}`, value: name, label: words.measures[name] }));
      replace(measure, el('h3', {}, words.measure), choice(words.measure, options, rows.measure, (to) => set({ measure: to, at: null }), 'grid'), el('p', { class: 'quiet' }, words.what[rows.measure]));
    },
  );
  store.watch(
    ({ work }) => [work.rows.all, work.netsFound],
    ({ work: { rows, netsFound } }) =>
      replace(nets, tick('rows-all', words.all, rows.all, (all) => set({ all })), rows.all && netsFound?.left > 0 && el('p', { class: 'quiet' }, words.left(netsFound.left))),
  );
  store.watch(
    ({ work }) => [wantedRows(work), work.rowsFound, work.patches, rowOf(work), work.model],
    ({ work }) => replace(patch, patchSaid(work)),
  );
  store.watch(
    ({ work }) => [rowsOf(work), work.rows.along, work.rows.index, work.rows.measure, work.limits],
    ({ work }) => replace(list, rowsOf(work) && listOf(work, store)),
  );
}

function patchSaid(work) {
  const face = wantedRows(work);
  const { model, rowsFound, patches } = work;
  if (!model || face === null) return el('p', { class: 'quiet' }, patches?.length === 0 ? words.table.none : words.hint);
  const name = el('h3', {}, faceName(model.summary, face));
  if (rowsFound?.face === face && !rowsFound.patch) return [name, el('p', { class: 'quiet' }, words.noSpline)];
  const one = patches?.find((p) => p.face === face);
  const row = rowOf(work);
  const facts = one && [
    [words.facts.degree, words.by(...one.degree)],
    [words.facts.spans, words.by(...one.spans)],
    [words.facts.points, words.by(...one.points)],
    [words.facts.rational, words.rational[one.rational]],
    [words.facts.size, row && quantity(row.legs.reduce((a, b) => a + b, 0), 'mm')],
  ];
  return [name, facts && factList(facts), el('p', { class: 'quiet' }, words.keys)];
}

function listOf(work, store) {
  const { along, index, measure } = work.rows;
  const all = rowsOf(work)[along];
  const limits = rowLimits(work, measure);
  const ways = ['u', 'v'].map((way) => ({ id: `row-list-${way}`, value: way, label: words.along[way] }));
  return [
    el('h3', {}, words.list),
    choice(words.direction, ways, along, (way) => turnRow(store, way)),
    el(
      'ol',
      { class: 'row-list' },
      all.slice(0, LISTED).map((row, i) => {
        const value = row[measure];
        const severity = severityOf(value, limits);
        return el(
          'li',
          {},
          el(
            'button',
            {
              type: 'button',
              id: `row-${along}-${i}`,
              'aria-pressed': String(i === index),
              data: { row: String(i), value: String(value) },
              on: { click: () => store.dispatch({ type: 'choose-row', along, index: i }) },
            },
            el('span', {}, words.row(i, along)),
            el('span', { class: 'net-value' }, severity && [el('span', { class: `bar ${severity}`, 'aria-hidden': 'true' }), el('span', { class: 'spoken' }, `${texts.severity[severity]} `)], `${words.letters[measure]} ${number(value)}`),
          ),
        );
      }),
    ),
  ];
}
