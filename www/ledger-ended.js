// At the ledger's end, folded: findings of the earlier revision that are no more.

import { el } from './dom.js';
import { count, quantity } from './format.js';
import { endedOf, goToCarried } from './revision.js';
import { texts } from './texts.js';

const words = texts.revision;

/** Listed; more are a list that nobody reads to its end. */
const LISTED = 80;

export function endedList(state, store) {
  const ended = endedOf(state);
  if (ended.length === 0) return null;
  const { ledger, earlier } = state.work;
  const list = el(
    'details',
    { id: 'fixed-list', class: 'ended', open: ledger.ended, on: { toggle: () => list.open !== store.state.work.ledger.ended && store.dispatch({ type: 'set-ledger', ledger: { ended: list.open } }) } },
    el('summary', { id: 'fixed-list-open' }, words.ended(count(ended.length), earlier.name)),
    el('ol', { class: 'rows' }, ended.slice(0, LISTED).map((carried, i) => el('li', {}, row(carried, i, store)))),
    ended.length > LISTED && el('p', { class: 'quiet pad' }, words.more(count(ended.length - LISTED))),
  );
  return list;
}

function row(carried, i, store) {
  const { was, fate } = carried;
  const [name, unit] = texts.measures[was.measure] ?? [was.measure, ''];
  return el(
    'button',
    { type: 'button', id: `ended-${i}`, class: `row ${fate}`, data: { fate }, on: { click: () => goToCarried(carried, store) } },
    el('span', { class: `bar ${was.severity}`, 'aria-hidden': 'true' }),
    el('span', { class: 'row-main' }, el('span', { class: 'row-title' }, name), el('span', { class: 'row-where' }, el('b', { class: 'row-fate' }, words.fate[fate]))),
    el('span', { class: 'row-value' }, el('b', {}, quantity(was.value, unit)), el('span', {}, texts.severity[was.severity])),
  );
}
