// The ledger at the right: the ranked findings, and all joins. Every mark on the canvas is a button here.

import { el, replace } from './dom.js';
import { mountCard } from './card.js';
import { quantity } from './format.js';
import { ORDER_UNIT, belongs, faceName, faceTotal, findingKey, joinValue, markOf, placePoint, sidesOf } from './records.js';
import { SEVERITIES } from './protocol.js';
import { texts } from './texts.js';

const words = texts.ledger;

/** Rows drawn at first and added by the button; more at once make the page slow to answer. */
const ROWS = 80;

export function mountLedger(root, store) {
  root.setAttribute('aria-label', words.title);
  root.tabIndex = -1;
  const head = el('div', { class: 'ledger-head' });
  const list = el('div', { class: 'ledger-list', id: 'ledger-list' });
  const card = el('section', { id: 'card', 'aria-label': texts.card.label });
  replace(root, head, list, card);
  mountCard(card, store);
  let rows = ROWS;

  store.watch(
    ({ work, review }) => [work.ledger, work.findings, work.pass, work.joins, work.model, review.marks],
    (state) => {
      root.dataset.open = String(state.work.ledger.open);
      replace(head, headOf(state, store));
    },
  );
  const draw = (state) => {
    const { work } = state;
    if (work.ledger.list === 'joins') replace(list, joinRows(state, store, rows), more(work.joins.length));
    else replace(list, findingRows(state, store, rows), more(shownFindings(state).length));
  };
  const more = (total) =>
    total > rows &&
    el(
      'button',
      {
        type: 'button',
        class: 'more',
        on: {
          click: () => {
            rows += ROWS;
            draw(store.state);
          },
        },
      },
      words.more(Math.min(ROWS, total - rows)),
    );
  store.watch(
    ({ work, review }) => [
      work.ledger.list,
      work.ledger.shown,
      work.pass,
      work.findings,
      work.joins,
      work.model,
      work.findings.length === 0 && Boolean(work.busy),
      review.marks,
      work.ledger.list === 'joins' && work.measure,
    ],
    draw,
  );
  store.watch(
    ({ work }) => [work.model],
    () => {
      rows = ROWS;
    },
  );
  store.watch(
    ({ work, review }) => [work.selection, work.findings, work.joins, work.ledger, work.pass, review.marks, work.measure],
    ({ work }) => {
      for (const row of list.querySelectorAll('.row')) {
        const chosen =
          row.dataset.finding !== undefined
            ? row.dataset.finding === work.selection.finding
            : row.dataset.join === String(work.selection.join);
        row.setAttribute('aria-current', String(chosen));
        if (chosen) row.scrollIntoView({ block: 'nearest' });
      }
    },
  );
}

function headOf({ work, review }, store) {
  const open = work.ledger.open;
  const toggle = el(
    'button',
    {
      type: 'button',
      id: 'ledger-toggle',
      'aria-expanded': String(open),
      'aria-controls': 'ledger-list',
      on: { click: () => store.dispatch({ type: 'toggle-ledger', open: !open }) },
    },
    open ? words.hide : words.show,
  );
  const tab = (name, label) =>
    el(
      'button',
      {
        type: 'button',
        id: `list-${name}`,
        'aria-pressed': String(work.ledger.list === name),
        on: { click: () => store.dispatch({ type: 'choose-list', list: name }) },
      },
      label,
    );
  if (!open) return [toggle, el('p', { class: 'tally' }, tally(work))];
  const inPass = work.findings.filter((finding) => belongs(finding, work.pass));
  const filters = SEVERITIES.map((severity) => {
    const n = inPass.filter((finding) => finding.severity === severity).length;
    const shown = work.ledger.shown[severity];
    return el(
      'button',
      {
        type: 'button',
        id: `show-${severity}`,
        class: 'filter',
        'aria-pressed': String(shown),
        on: { click: () => store.dispatch({ type: 'show-severity', severity, shown: !shown }) },
      },
      el('span', { class: `bar ${severity}`, 'aria-hidden': 'true' }),
      `${texts.severity[severity]} `,
      el('b', {}, String(n)),
    );
  });
  return [
    el('div', { class: 'ledger-title' }, el('h2', {}, words.title), toggle),
    el(
      'div',
      { role: 'group', 'aria-label': words.lists, class: 'choice' },
      tab('findings', words.findings),
      tab('joins', words.joins),
    ),
    work.ledger.list === 'findings' && el('div', { role: 'group', 'aria-label': words.filter, class: 'filters' }, filters),
    work.model && el('p', { id: 'ledger-order', class: 'quiet' }, words.order[work.ledger.list]),
  ];
}

/** Counts by severity, for the folded ledger. */
function tally({ findings }) {
  return SEVERITIES.filter((severity) => severity !== 'good').map((severity) =>
    el(
      'span',
      { title: texts.severity[severity] },
      el('span', { class: `bar ${severity}`, 'aria-hidden': 'true' }),
      el('span', { class: 'spoken' }, `${texts.severity[severity]} `),
      String(findings.filter((finding) => finding.severity === severity).length),
    ),
  );
}

function shownFindings({ work }) {
  return work.findings.filter((finding) => belongs(finding, work.pass) && work.ledger.shown[finding.severity]);
}

function findingRows(state, store, rows) {
  const { work, review } = state;
  if (!work.model) return el('p', { class: 'quiet pad' }, words.nothing);
  const shown = shownFindings(state);
  if (shown.length === 0) {
    const some = work.findings.some((finding) => belongs(finding, work.pass));
    return el('p', { class: 'quiet pad' }, work.busy ? words.working : some ? words.hidden : faceTotal(work.model.summary) === 0 ? words.noFaces : words.none);
  }
  const worst = shown.filter((finding) => finding.severity !== 'good');
  const good = shown.filter((finding) => finding.severity === 'good');
  const row = (finding, i) => el('li', {}, findingRow(finding, i, work, review, store));
  return [
    el('ol', { id: 'finding-list', class: 'rows' }, worst.slice(0, rows).map(row)),
    good.length > 0 && worst.length < rows && [
      el('h3', { class: 'rule' }, words.good),
      el('ol', { class: 'rows' }, good.slice(0, rows - worst.length).map((finding, i) => row(finding, worst.length + i))),
    ],
  ].flat();
}

function findingRow(finding, index, work, review, store) {
  const [name, unit] = texts.measures[finding.measure] ?? [finding.measure, ''];
  const mark = markOf(review.marks, work.model.name, finding);
  const key = findingKey(finding);
  const faces = finding.faces.map((id) => faceName(work.model.summary, id));
  return el(
    'button',
    {
      type: 'button',
      id: `finding-${index}`,
      class: `row ${mark.state}`,
      data: { finding: key, severity: finding.severity },
      on: {
        click: () => store.dispatch({ type: 'choose-finding', finding, flight: flightTo(finding, work.joins) }),
      },
    },
    el('span', { class: `bar ${finding.severity}`, 'aria-hidden': 'true' }),
    el(
      'span',
      { class: 'row-main' },
      el('span', { class: 'row-title' }, name, ' ', el('span', { class: 'spoken' }, texts.severity[finding.severity])),
      el('span', { class: 'row-where' }, words.faces(faces)),
    ),
    el(
      'span',
      { class: 'row-value' },
      el('b', {}, quantity(finding.value, finding.unit ?? unit)),
      el('span', {}, mark.state === 'open' ? texts.severity[finding.severity] : texts.card[mark.state]),
    ),
  );
}

/** Where the camera flies for a finding: {point, faces, size}, or null when it has no place. */
export function flightTo(finding, joins) {
  const point = placePoint(finding);
  const join = joins.find((one) => one.id === finding.join);
  return point && { point, faces: finding.faces, size: join?.length ?? null };
}

function joinRows({ work }, store, rows) {
  if (!work.model) return el('p', { class: 'quiet pad' }, words.nothing);
  const unit = ORDER_UNIT[work.measure];
  const ranked = work.joins
    .map((join) => ({ join, value: joinValue(join, work.measure) }))
    .sort((a, b) => (b.value ?? -1) - (a.value ?? -1));
  return el(
    'ol',
    { id: 'join-list', class: 'rows' },
    ranked.slice(0, rows).map(({ join, value }) =>
      el(
        'li',
        {},
        el(
          'button',
          {
            type: 'button',
            id: `join-${join.id}`,
            class: 'row',
            data: { join: String(join.id) },
            on: {
              click: () =>
                store.dispatch({
                  type: 'choose-join',
                  join: join.id,
                  flight: { point: join[work.measure]?.at ?? join.mid, faces: join.faces, size: join.length },
                }),
            },
          },
          el('span', { class: `class-mark ${join.class}`, 'aria-hidden': 'true' }),
          el(
            'span',
            { class: 'row-main' },
            el('span', { class: 'row-title' }, words.join(join.id)),
            el('span', { class: 'row-where' }, words.faces(sidesOf(join, work.model.summary))),
          ),
          el(
            'span',
            { class: 'row-value' },
            el('b', {}, value === null ? '–' : quantity(value, unit)),
            el('span', {}, texts.classes[join.class] ?? join.class),
          ),
        ),
      ),
    ),
  );
}
