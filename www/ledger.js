// The ledger at the right: findings and pins, worst first, and all joins. Every mark on the canvas is a button here.

import { el, replace } from './dom.js';
import { mountCard } from './card.js';
import { chosenEntry, entriesOf, facesOf, shownEntries } from './entries.js';
import { quantity } from './format.js';
import { endedList } from './ledger-ended.js';
import { mountFilters } from './ledger-filters.js';
import { goToEntry, mountLedgerKeys } from './ledger-keys.js';
import { ORDER_UNIT, faceTotal, joinValue, sidesOf, unitOf } from './records.js';
import { SEVERITIES } from './protocol.js';
import { texts } from './texts.js';

const words = texts.ledger;

/** Rows drawn at first and added by the button; more at once make the page slow to answer. */
const ROWS = 80;

/** `pins`: createPins(); `canvas`: where the ledger's keys are heard too; `trials`: createTrials(). */
export function mountLedger(root, store, pins, canvas, trials) {
  root.setAttribute('aria-label', words.title);
  root.tabIndex = -1;
  const top = el('div', { class: 'ledger-top' });
  const filters = el('div', { class: 'ledger-filters' });
  const order = el('p', { id: 'ledger-order', class: 'quiet' });
  const list = el('div', { class: 'ledger-list', id: 'ledger-list' });
  const card = el('section', { id: 'card', 'aria-label': texts.card.label });
  replace(root, el('div', { class: 'ledger-head' }, top, filters, order), list, card);
  mountFilters(filters, store);
  mountCard(card, store, pins, trials);
  mountLedgerKeys([canvas, root], list, store, pins);
  let rows = ROWS;

  store.watch(
    ({ work, review }) => [work.ledger.open, work.ledger.list, work.findings, work.model, work.graphics, review.marks, review.pins],
    (state) => {
      const { ledger, model } = state.work;
      root.dataset.open = String(ledger.open);
      replace(top, topOf(state, store, pins));
      filters.hidden = !ledger.open || ledger.list !== 'findings' || !model;
      order.hidden = !ledger.open || !model;
      order.textContent = words.order[ledger.list];
    },
  );
  const draw = (state) => {
    const { work } = state;
    if (work.ledger.list === 'joins') replace(list, joinRows(state, store, rows), more(work.joins.length));
    else replace(list, entryRows(state, store, pins, rows), more(shownEntries(state).length), endedList(state, store));
    choose(state);
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
      words.addRows(Math.min(ROWS, total - rows)),
    );
  /** Shows which row is chosen. */
  function choose(state) {
    const { work } = state;
    const chosen = work.ledger.list === 'joins' ? null : chosenEntry(state);
    for (const row of list.querySelectorAll('.row')) {
      const is = row.dataset.entry !== undefined ? row.dataset.entry === chosen?.key : row.dataset.join === String(work.selection.join);
      row.setAttribute('aria-current', String(is));
      if (is) row.scrollIntoView({ block: 'nearest' });
    }
  }
  store.watch(
    ({ work, review }) => [
      work.ledger.list,
      work.ledger.pass,
      work.ledger.shown,
      work.ledger.states,
      work.ledger.fates,
      work.ledger.find,
      work.pass,
      work.findings,
      work.earlier?.record,
      work.joins,
      work.model,
      work.findings.length === 0 && Boolean(work.busy),
      review.marks,
      review.pins,
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
    ({ work }) => [work.selection, work.ledger.open],
    (state) => {
      // One that is gone to by key may lie below the rows that are drawn.
      const at = shownEntries(state).indexOf(chosenEntry(state));
      if (at >= rows) {
        rows = at + 1;
        draw(state);
      } else choose(state);
    },
  );
}

function topOf(state, store, pins) {
  const { work } = state;
  const { open } = work.ledger;
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
  if (!open) return [toggle, el('p', { class: 'tally' }, tally(state))];
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
  const add =
    work.model && work.graphics === 'ok' && el('button', { type: 'button', id: 'pin-add', title: texts.pins.addHint, on: { click: () => pins.aim(true) } }, texts.pins.add);
  return [
    el('div', { class: 'ledger-title' }, el('h2', {}, words.title), add, toggle),
    el(
      'div',
      { role: 'group', 'aria-label': words.lists, class: 'choice' },
      tab('findings', words.findings),
      tab('joins', words.joins),
    ),
  ];
}

/** Counts by severity, for the folded ledger. */
function tally(state) {
  return SEVERITIES.filter((severity) => severity !== 'good').map((severity) =>
    el(
      'span',
      { title: texts.severity[severity] },
      el('span', { class: `bar ${severity}`, 'aria-hidden': 'true' }),
      el('span', { class: 'spoken' }, `${texts.severity[severity]} `),
      String(entriesOf(state).filter((entry) => entry.severity === severity).length),
    ),
  );
}

function entryRows(state, store, pins, rows) {
  const { work } = state;
  if (!work.model) return el('p', { class: 'quiet pad' }, words.nothing);
  const shown = shownEntries(state);
  if (shown.length === 0) {
    const some = entriesOf(state).length > 0;
    return el('p', { class: 'quiet pad' }, work.busy ? words.working : some ? words.hidden : faceTotal(work.model.summary) === 0 ? words.noFaces : words.none);
  }
  const worst = shown.filter(({ severity }) => severity !== 'good');
  const good = shown.filter(({ severity }) => severity === 'good');
  const row = (entry, i) => el('li', {}, entryRow(entry, i, work, store, pins));
  return [
    el('ol', { id: 'finding-list', class: 'rows' }, worst.slice(0, rows).map(row)),
    good.length > 0 && worst.length < rows && [
      el('h3', { class: 'rule' }, words.good),
      el('ol', { id: 'good-list', class: 'rows' }, good.slice(0, rows - worst.length).map((entry, i) => row(entry, worst.length + i))),
    ],
  ].flat();
}

function entryRow(entry, index, work, store, pins) {
  const { finding, pin, severity, measured, state, title, carried } = entry;
  const unit = finding && unitOf(finding);
  const stands = measured && measured !== severity ? texts.marks.overruledShort(texts.severity[severity], texts.severity[measured]) : texts.severity[severity];
  return el(
    'button',
    {
      type: 'button',
      id: `finding-${index}`,
      class: `row ${state}`,
      data: { entry: entry.key, severity, ...(finding ? { finding: entry.key } : { pin: String(pin.key) }) },
      on: { click: () => goToEntry(entry, store, pins) },
    },
    el('span', { class: `bar ${severity}`, 'aria-hidden': 'true' }),
    el(
      'span',
      { class: 'row-main' },
      el('span', { class: 'row-title' }, pin && el('span', { class: 'pin-number' }, el('span', { class: 'spoken' }, `${texts.pins.mark} `), String(pin.key)), title, ' ', el('span', { class: 'spoken' }, texts.severity[severity])),
      el('span', { class: 'row-where' }, carried && el('b', { class: 'row-fate', data: { fate: carried.fate } }, texts.revision.fate[carried.fate]), words.faces(facesOf(entry, work.model.summary))),
    ),
    el(
      'span',
      { class: 'row-value' },
      finding ? el('b', {}, quantity(finding.value, unit)) : el('b', {}, texts.pins.mark),
      el('span', {}, state === 'open' ? stands : texts.marks.states[state]),
    ),
  );
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
