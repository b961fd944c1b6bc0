// The rating in the Verdict pass: lines with points by hand, their sum, and the lines that a rating starts from.

import { tidyText } from './checklist.js';
import { el, replace } from './dom.js';
import { number } from './format.js';
import { keptLines } from './kept-lines.js';
import { texts } from './texts.js';
import { MOST, readRating, total } from './verdict.js';

const words = texts.rating;

const own = keptLines({ key: 'rakelight-rating', usual: () => [], read: readRating, wrong: texts.checklist.wrong.json });

/** Lines as they are before anything is rated. */
const blank = (lines) => lines.map(({ text, most }) => ({ text, most }));

const asLines = (pairs) => pairs.map(([text, most]) => ({ text, most }));

export function mountRating(root, store) {
  root.id = 'rating';
  let unfolded = null; // index of the line whose words are changed
  const said = el('p', { class: 'quiet', role: 'status' });
  const list = el('ol', { id: 'rating-list', 'aria-labelledby': 'rating-title' });
  const foot = el('div', {});
  replace(root, el('h3', { id: 'rating-title' }, words.title), list, foot, said);

  const unfold = (at) => {
    unfolded = at;
    show(store.state);
    document.getElementById(at === null ? 'rating-add' : `rating-text-${at}`)?.focus();
  };

  function show({ review: { verdict } }) {
    const { rating } = verdict;
    if (unfolded !== null && unfolded >= rating.length) unfolded = null;
    list.hidden = rating.length === 0;
    replace(list, rating.map((line, i) => row(line, i, unfolded === i, store, unfold)));
    replace(foot, rating.length === 0 ? starts(store) : sums(rating, store, unfold, said));
  }
  store.watch(({ review }) => [review.verdict.rating], show);
}

/** What a rating starts from. */
function starts(store) {
  const button = (name, lines) =>
    el(
      'button',
      {
        type: 'button',
        id: `rating-start-${name}`,
        on: {
          click: () => {
            store.dispatch({ type: 'add-ratings', lines, say: words.started(lines.length) });
            document.getElementById('rating-given-0')?.focus();
          },
        },
      },
      words.start[name],
    );
  const kept = own.now();
  return [
    el('p', { class: 'quiet' }, words.hint),
    el('div', { class: 'buttons' }, kept.own && button('own', kept.lines), Object.entries(words.usual).map(([name, lines]) => button(name, asLines(lines)))),
    kept.wrong && el('p', { class: 'doubt' }, kept.wrong),
  ];
}

function sums(rating, store, unfold, said) {
  const { given, of, open } = total(rating);
  const add = () => {
    store.dispatch({ type: 'add-ratings', lines: [{ text: words.fresh }] });
    unfold(store.state.review.verdict.rating.length - 1);
  };
  const keep = () => (said.textContent = own.keep(blank(rating)) ? words.kept(rating.length) : words.keptHere);
  return [
    el('p', { id: 'rating-total', data: { given: String(given), of: String(of), open: String(open) } }, el('b', {}, words.total(number(given), number(of), open))),
    el(
      'div',
      { class: 'buttons' },
      rating.length < MOST.lines && el('button', { type: 'button', id: 'rating-add', on: { click: add } }, words.add),
      el('button', { type: 'button', id: 'rating-keep', on: { click: keep } }, words.keep),
    ),
  ];
}

function row(line, at, open, store, unfold) {
  const set = (change) => store.dispatch({ type: 'set-rating', at, change });
  const points = (id, value, top, label, take) => {
    const box = el('input', { type: 'number', id, min: 0, max: top, step: 'any', value: value === null ? '' : String(value), 'aria-label': label });
    box.addEventListener('change', () => {
      take(box.value === '' ? null : Number(box.value));
      // What was not taken as it was typed.
      const { [at]: now } = store.state.review.verdict.rating;
      const shown = id.startsWith('rating-given') ? now?.given : now?.most;
      const here = document.getElementById(id);
      if (here && shown !== undefined) here.value = shown === null ? '' : String(shown);
    });
    return box;
  };
  return el(
    'li',
    { class: 'rating-line' },
    el('button', { type: 'button', id: `rating-line-${at}`, class: 'check-text', 'aria-expanded': String(open), 'aria-label': words.unfold(line.text), on: { click: () => unfold(open ? null : at) } }, line.text),
    el(
      'span',
      { class: 'rating-points' },
      points(`rating-given-${at}`, line.given, line.most, words.points(line.text), (given) => set({ given })),
      ` ${words.most} ${number(line.most)}`,
    ),
    line.note && !open && el('p', { class: 'quiet rating-note' }, line.note),
    open && more(line, at, set, points, store, unfold),
  );
}

function more(line, at, set, points, store, unfold) {
  const field = (name, label, most, rows) => {
    const id = `rating-${name}-${at}`;
    const area = el('textarea', { id, rows, maxlength: most, on: { change: () => (name === 'note' || tidyText(area.value) !== '' ? set({ [name]: area.value }) : (area.value = line.text)) } }, line[name]);
    return el('div', { class: 'check-field' }, el('label', { for: id }, label), area);
  };
  const away = () => {
    unfold(null);
    store.dispatch({ type: 'delete-rating', at, say: words.deleted(line.text) });
    document.getElementById(store.state.review.verdict.rating.length > 0 ? 'rating-add' : 'rating-start-handIn')?.focus();
  };
  return el(
    'div',
    { class: 'check-more', role: 'group', 'aria-label': words.unfold(line.text) },
    field('text', words.text, MOST.text, 2),
    el('div', { class: 'check-field' }, el('label', { for: `rating-most-${at}` }, words.given), points(`rating-most-${at}`, line.most, MOST.points, words.given, (most) => most !== null && set({ most }))),
    field('note', words.note, MOST.note, 2),
    el('div', { class: 'buttons' }, el('button', { type: 'button', id: `rating-delete-${at}`, on: { click: away } }, words.delete)),
  );
}
