// The table of spline patches: degrees, spans, the worst of their rows and the smallest degree and spans that would hold them. Each
// column sorts; a line chooses its patch.

import { el, replace } from './dom.js';
import { number } from './format.js';
import { faceName } from './records.js';
import { ROW_MEASURES, rowLimits, severityOf } from './rows.js';
import { texts } from './texts.js';

const words = texts.rows.table;

/** Lines shown at first: more keep the page from answering while they are built. */
const SHOWN = 200;

const pair = (two) => (two ? texts.rows.by(...two) : null);
/** Pairs go by their larger number, then by the other. */
const rank = (two) => (two ? Math.max(...two) * 1e4 + Math.min(...two) : null);
const product = (two) => two[0] * two[1];

/** Columns: what they sort by and what they show. */
const COLUMNS = {
  face: { of: (one) => one.name, said: (one) => one.name },
  degree: { of: (one) => rank(one.degree), said: (one) => pair(one.degree) },
  neededDegree: { of: (one) => rank(one.needed?.degree), said: (one) => pair(one.needed?.degree) },
  spans: { of: (one) => rank(one.spans), said: (one) => pair(one.spans) },
  neededSpans: { of: (one) => rank(one.needed?.spans), said: (one) => pair(one.needed?.spans) },
  points: { of: (one) => product(one.points), said: (one) => pair(one.points) },
  rational: { of: (one) => Number(one.rational), said: (one) => texts.rows.rational[one.rational] },
  evenness: { of: (one) => one.evenness, said: (one) => number(one.evenness) },
  agreement: { of: (one) => one.agreement, said: (one) => number(one.agreement) },
  turning: { of: (one) => one.turning, said: (one) => number(one.turning) },
  off: { of: (one) => one.needed?.off, said: (one) => (one.needed ? number(one.needed.off) : null) },
  bend: { of: (one) => one.needed?.bend, said: (one) => (one.needed?.bend ? number(one.needed.bend) : null) },
};

/** Columns of what a patch needs. */
const NEEDED = ['neededDegree', 'neededSpans', 'off', 'bend'];

export function mountPatchTable(root, store) {
  const body = el('div', { class: 'trace-table', tabindex: '0', role: 'region', 'aria-label': words.label });
  replace(root, body);
  store.watch(
    ({ work }) => [work.patches, work.model, work.rows.sort, work.rows.whole, work.limits, work.pass],
    ({ work }) => work.pass === 'rows' && replace(body, tableOf(work, store)),
  );
  store.watch(
    ({ work }) => [work.selection.face, work.patches, work.rows.sort, work.rows.whole, work.pass],
    ({ work }) => {
      for (const line of body.querySelectorAll('[data-face]')) {
        if (Number(line.dataset.face) === work.selection.face) line.setAttribute('aria-current', 'true');
        else line.removeAttribute('aria-current');
      }
    },
  );
}

function tableOf(work, store) {
  const { patches, model, rows } = work;
  if (!model || !patches) return el('p', { class: 'quiet' }, words.waiting);
  if (patches.length === 0) return el('p', { class: 'quiet' }, words.none);
  const lines = sorted(patches.map((one) => ({ ...one, name: faceName(model.summary, one.face) })), rows.sort);
  const shown = rows.whole ? lines : lines.slice(0, SHOWN);
  // What is needed is not known of every model.
  const columns = Object.keys(COLUMNS).filter((name) => !NEEDED.includes(name) || patches.some(({ needed }) => needed));
  const limits = Object.fromEntries(ROW_MEASURES.map((name) => [name, rowLimits(work, name)]));
  return [
    el(
      'table',
      { id: 'patch-table' },
      el('caption', { class: 'spoken' }, `${words.label}. ${words.note}`),
      el('thead', {}, el('tr', {}, columns.map((name) => header(name, rows.sort, store)))),
      el('tbody', {}, shown.map((one) => line(one, columns, limits, store))),
    ),
    shown.length < lines.length && el('button', { type: 'button', id: 'patches-whole', on: { click: () => store.dispatch({ type: 'set-rows', rows: { whole: true } }) } }, words.more(lines.length)),
  ];
}

/** Numbers begin with the largest, names with the first; what has no value comes last either way. */
function sorted(lines, { by, down }) {
  const { of } = COLUMNS[by];
  const known = (x) => x !== null && x !== undefined;
  const order = (a, b) => (typeof a === 'string' ? a.localeCompare(b, undefined, { numeric: true }) : a - b);
  return lines.toSorted((p, q) => {
    const [a, b] = [of(p), of(q)];
    if (!known(a) || !known(b)) return Number(known(b)) - Number(known(a));
    return (down ? -1 : 1) * order(a, b) || p.face - q.face;
  });
}

function header(name, { by, down }, store) {
  const here = by === name;
  const sort = here ? { by, down: !down } : { by: name, down: name !== 'face' };
  return el(
    'th',
    { scope: 'col', 'aria-sort': here ? (down ? 'descending' : 'ascending') : 'none' },
    el('button', { type: 'button', id: `sort-${name}`, on: { click: () => store.dispatch({ type: 'set-rows', rows: { sort } }) } }, words[name], el('span', { class: 'sort-mark', 'aria-hidden': 'true' }, here ? (down ? ' ▾' : ' ▴') : '')),
  );
}

function line(one, columns, limits, store) {
  const choose = () => store.dispatch({ type: 'choose-face', face: one.face, flight: { face: one.face } });
  const cell = (name) => {
    const severity = limits[name] && severityOf(one[name], limits[name]);
    return el('td', { data: { column: name } }, severity && [el('span', { class: `bar ${severity}`, 'aria-hidden': 'true' }), el('span', { class: 'spoken' }, `${texts.severity[severity]} `)], COLUMNS[name].said(one) ?? '–');
  };
  return el(
    'tr',
    { data: { face: String(one.face) } },
    el('th', { scope: 'row' }, el('button', { type: 'button', id: `patch-${one.face}`, on: { click: choose } }, one.name)),
    columns.slice(1).map(cell),
  );
}
