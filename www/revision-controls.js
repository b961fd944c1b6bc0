// In the Overview: an earlier revision, what became of each of its findings, and what its review said.

import { carriedOver } from './carry.js';
import { el, fileInput, replace } from './dom.js';
import { count, number, quantity } from './format.js';
import { whenSaved } from './review-file.js';
import { FATES, goToCarried, shownOf, unitDoubt } from './revision.js';
import { texts } from './texts.js';

const words = texts.revision;

/** Listed by themselves under each fate. More are a list that nobody reads to its end. */
const LISTED = 12;

/** `beside`: beside.js. */
export function mountRevision(root, store, commands, beside) {
  const { earlier: verbs } = commands;
  const button = (id, label, click, title) => el('button', { type: 'button', id, title, on: { click } }, label);
  const input = fileInput('earlier-input', words.open, (file) => verbs.open(file));
  const open = button('earlier-open', words.open, () => input.click(), words.openHint);
  const close = button('earlier-close', words.close, () => commands.dropEarlier());
  const told = el('div', { id: 'earlier-told' });
  const show = button('earlier-beside', words.beside, () => beside.openFile(verbs.file()), words.besideHint);
  const map = button('earlier-map', words.map, () => commands.mapEarlier(), words.mapHint);
  const said = el('p', { id: 'earlier-review', class: 'quiet' });
  const reviewInput = fileInput('earlier-review-input', words.review, (file) => verbs.takeReview(file), '.json');
  const review = button('earlier-review-open', words.review, () => reviewInput.click(), words.reviewHint);
  const carry = button('earlier-carry', words.carry, () => carry.getAttribute('aria-disabled') !== 'true' && verbs.carry());
  const both = el('div', { class: 'block' }, el('div', { class: 'buttons' }, show, map), said, el('div', { class: 'buttons' }, review, reviewInput, carry));
  const lists = el('div', {});
  replace(root, el('h3', {}, words.title), el('div', { class: 'buttons' }, open, input, close), told, both, lists);
  store.watch(
    ({ work }) => [work.model, work.busy, work.earlier, work.graphics],
    ({ work }) => {
      const { model, busy, earlier, graphics } = work;
      const record = earlier?.record;
      root.hidden = !model;
      open.disabled = show.disabled = map.disabled = review.disabled = busy !== null;
      close.hidden = !earlier;
      close.textContent = earlier && !record ? texts.progress.cancel : words.close;
      both.hidden = lists.hidden = !record;
      show.hidden = graphics !== 'ok';
      replace(told, record ? counted(record, unitDoubt(work)) : el('p', { class: 'quiet' }, earlier ? reading(earlier) : words.hint));
      replace(lists, record && FATES.map((fate) => list(fate, earlier, store)));
    },
  );
  store.watch(
    ({ work, review: mine }) => [work.model, work.busy, work.earlier, work.findings, mine.marks, mine.pins, mine.sections],
    (state) => {
      const { earlier, busy } = state.work;
      if (!earlier?.record) return;
      const { marks, pins, sections, count: all, apart } = carriedOver(state);
      said.textContent = whatItSays(earlier, all, apart);
      carry.hidden = !earlier.review;
      carry.textContent = all > 0 ? words.carryCount(words.things(Object.keys(marks).length, pins.length, sections.length)) : words.carry;
      carry.dataset.count = String(all);
      // The focus stays on it when nothing is left.
      if (all > 0 && busy === null) carry.removeAttribute('aria-disabled');
      else carry.setAttribute('aria-disabled', 'true');
    },
  );
}

function reading({ name, progress }) {
  const { stage, done, total } = progress ?? {};
  const stages = texts.progress.stages;
  return words.reading(name, stage ? `${stages[stage] ?? stage}${total > 0 ? ` ${Math.floor((100 * done) / total)} %` : ''}` : null);
}

function whatItSays({ review, looked }, left, apart) {
  if (!looked) return '';
  if (!review) return words.noReview;
  const { marks, pins, sections, saved, name } = review;
  const things = words.things(Object.keys(marks).length, pins.length, sections.length);
  return [words.says(name, whenSaved(saved), things), apart > 0 && words.apart(apart), things && left === 0 && words.nothingLeft].filter(Boolean).join(' ');
}

function counted(record, doubt) {
  const parts = [...FATES, 'same'].filter((fate) => record[fate] > 0).map((fate) => words.counted[fate](count(record[fate])));
  return [
    el('p', { id: 'earlier-counts', data: Object.fromEntries([...FATES, 'same'].map((fate) => [fate, String(record[fate])])) }, `${words.since(record.earlier)} ${parts.length > 0 ? parts.join(', ') : words.nothing}.`),
    doubt && el('p', { id: 'earlier-unit', class: 'doubt' }, words.unit[doubt.larger](record.earlier, number(doubt.times))),
  ];
}

function list(fate, { record, of }, store) {
  const all = record.findings.filter((carried) => carried.fate === fate);
  if (all.length === 0) return null;
  return [
    el('h4', {}, words.fates[fate]),
    el('ul', { class: 'look-list' }, all.slice(0, LISTED).map((carried, i) => row(fate, carried, i, of, store))),
    all.length > LISTED && el('p', { class: 'quiet' }, words.inLedger(count(all.length - LISTED))),
  ];
}

function row(fate, carried, i, findings, store) {
  const shown = shownOf(carried, findings);
  if (!shown) return null;
  const [name, unit] = texts.measures[shown.measure] ?? [shown.measure, ''];
  const value = (finding) => quantity(finding.value, unit);
  const values = carried.was && carried.now !== null ? words.from(value(carried.was), value(shown)) : value(shown);
  return el(
    'li',
    {},
    el('button', { type: 'button', id: `earlier-${fate}-${i + 1}`, class: 'line-row', on: { click: () => goToCarried(carried, store) } }, el('span', {}, name), el('span', { class: 'line-length' }, values)),
  );
}
