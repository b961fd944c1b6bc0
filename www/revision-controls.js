// In the Overview: an earlier revision, and what became of each of its findings.

import { el, fileInput, replace } from './dom.js';
import { count, quantity } from './format.js';
import { flightTo } from './records.js';
import { FATES, shownOf } from './revision.js';
import { texts } from './texts.js';

const words = texts.revision;

/** Listed by themselves under each fate. More are a list that nobody reads to its end. */
const LISTED = 12;

export function mountRevision(root, store, commands) {
  const input = fileInput('earlier-input', words.open, (file) => commands.openEarlier(file));
  const open = el('button', { type: 'button', id: 'earlier-open', title: words.openHint, on: { click: () => input.click() } }, words.open);
  const close = el('button', { type: 'button', id: 'earlier-close', on: { click: () => commands.dropEarlier() } }, words.close);
  const told = el('div', { id: 'earlier-told' });
  replace(root, el('h3', {}, words.title), el('div', { class: 'buttons' }, open, input, close), told);
  store.watch(
    ({ work }) => [work.model, work.busy, work.earlier, work.findings],
    ({ work }) => {
      const { model, busy, earlier, findings } = work;
      root.hidden = !model;
      open.disabled = busy !== null;
      close.hidden = !earlier;
      replace(told, !earlier ? el('p', { class: 'quiet' }, words.hint) : earlier.record ? report(earlier.record, findings, store) : el('p', { class: 'quiet' }, words.reading(earlier.name)));
    },
  );
}

function report(record, findings, store) {
  const parts = [...FATES, 'same'].filter((fate) => record[fate] > 0).map((fate) => words.counted[fate](count(record[fate])));
  return [
    el('p', { id: 'earlier-counts', data: Object.fromEntries([...FATES, 'same'].map((fate) => [fate, String(record[fate])])) }, `${words.since(record.earlier)} ${parts.length > 0 ? parts.join(', ') : words.nothing}.`),
    FATES.map((fate) => list(fate, record.findings.filter((carried) => carried.fate === fate), findings, store)),
  ];
}

function list(fate, all, findings, store) {
  if (all.length === 0) return null;
  return [
    el('h4', {}, words.fates[fate]),
    el('ul', { class: 'look-list' }, all.slice(0, LISTED).map((carried, i) => row(fate, carried, i, findings, store))),
    all.length > LISTED && el('p', { class: 'quiet' }, words.more(count(all.length - LISTED))),
  ];
}

function row(fate, carried, i, findings, store) {
  const shown = shownOf(carried, findings);
  if (!shown) return null;
  const [name, unit] = texts.measures[shown.measure] ?? [shown.measure, ''];
  const value = (finding) => quantity(finding.value, unit);
  const values = carried.was && carried.now !== null ? words.from(value(carried.was), value(shown)) : value(shown);
  const go = () => {
    // A finding that is no more has faces of the other file: its place is all there is to go to.
    if (carried.now === null) store.dispatch({ type: 'choose-face', face: null, flight: flightTo({ ...shown, faces: [], join: null }, []) });
    else store.dispatch({ type: 'choose-finding', finding: shown, flight: flightTo(shown, store.state.work.joins) });
  };
  return el(
    'li',
    {},
    el('button', { type: 'button', id: `earlier-${fate}-${i + 1}`, class: 'line-row', on: { click: go } }, el('span', {}, name), el('span', { class: 'line-length' }, values)),
  );
}
