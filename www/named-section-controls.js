// Named sections under the Form pass's Sections: each is shown again at a press, and told by what it cuts, here and in the earlier revision.

import { el, replace } from './dom.js';
import { count, number, quantity, unitName } from './format.js';
import { MOST, cutKey } from './named-sections.js';
import { sectionReach, sectionWish } from './sections.js';
import { texts } from './texts.js';
import { wordsField } from './words-field.js';

const words = texts.sections.named;

/** A section without a name of its own, as it is called. */
const usual = ({ axis, at }) => {
  const one = ['X', 'Y', 'Z'].find((_, i) => axis.every((x, k) => (k === i ? x > 0 : x === 0)));
  return words.usual(one ?? `(${axis.map(number).join(', ')})`, number(at));
};

export function mountNamedSections(root, store) {
  root.id = 'named-sections';
  const rows = new Map(); // key → row, kept while its section is: what is typed outlives every redrawing
  const keep = el('button', { type: 'button', id: 'section-keep', title: words.keepHint, on: { click: () => keep.getAttribute('aria-disabled') !== 'true' && add() } }, words.keep);
  const note = el('p', { class: 'quiet' });
  const list = el('ul', { id: 'named-list', 'aria-label': words.title });
  replace(root, el('h4', {}, words.title), keep, note, list);

  function add() {
    const { axis, at } = sectionWish(store.state.work);
    store.dispatch({ type: 'keep-section', section: { name: usual({ axis, at }), axis, at }, say: words.kept });
    const { key } = store.state.review.sections.at(-1);
    const { name } = rows.get(key) ?? {};
    name?.focus();
    name?.select();
  }

  store.watch(
    ({ work, review }) => [review.sections, work.sections, work.namedFound, work.model, work.pass, work.earlier?.record],
    (state) => {
      const { work, review } = state;
      const wish = sectionWish(work);
      const single = wish?.at !== null && wish?.at !== undefined;
      const known = single && review.sections.some((one) => cutKey(one) === cutKey(wish));
      const full = review.sections.length >= MOST.sections;
      root.hidden = !work.model || (!work.sections.on && review.sections.length === 0);
      if (!single || known || full) keep.setAttribute('aria-disabled', 'true');
      else keep.removeAttribute('aria-disabled');
      note.textContent = full ? words.full(MOST.sections) : known ? words.known : single ? '' : words.hint;
      note.hidden = note.textContent === '';
      const keys = new Set(review.sections.map(({ key }) => key));
      for (const key of rows.keys()) if (!keys.has(key)) rows.delete(key);
      const wanted = review.sections.map((one) => {
        if (!rows.has(one.key)) rows.set(one.key, createRow(one.key, store));
        const row = rows.get(one.key);
        row.show(one, single && cutKey(one) === cutKey(wish), state);
        return row.root;
      });
      if (wanted.length !== list.childElementCount || wanted.some((row, i) => row !== list.children[i])) replace(list, wanted);
    },
  );
}

function createRow(key, store) {
  const one = () => store.state.review.sections.find((section) => section.key === key);
  const name = wordsField({ id: `section-name-${key}`, label: words.name, most: MOST.name, lines: 1 }, (value, gesture) => store.dispatch({ type: 'name-section', key, name: value, gesture }));
  const choose = el('button', { type: 'button', id: `section-show-${key}`, on: { click: () => shown() } }, words.show);
  const away = el('button', { type: 'button', id: `section-delete-${key}`, on: { click: () => drop() } }, words.delete);
  const facts = el('div', {});
  const root = el('li', { class: 'named', data: { key: String(key) } }, name.root, el('div', { class: 'buttons' }, choose, away), facts);

  function shown() {
    const { axis, at } = one();
    const on = choose.getAttribute('aria-pressed') !== 'true';
    store.dispatch({ type: 'set-sections', sections: on ? { on, single: true, axis, at } : { on } });
  }

  function drop() {
    const { sections } = store.state.review;
    const i = sections.findIndex((section) => section.key === key);
    const next = sections[i + 1] ?? sections[i - 1];
    store.dispatch({ type: 'delete-section', key, say: words.deleted(sections[i].name || usual(sections[i])) });
    document.getElementById(next ? `section-show-${next.key}` : 'section-keep')?.focus();
  }

  return {
    root,
    name: name.box,
    show(section, here, { work }) {
      const [low, high] = sectionReach({ sections: section, model: work.model });
      const said = section.name || usual(section);
      name.show(section.name);
      name.box.placeholder = usual(section);
      // What is no plane of this model cannot be shown: it would be moved to where the model ends.
      choose.disabled = section.at < low || section.at > high;
      choose.setAttribute('aria-pressed', String(here));
      choose.setAttribute('aria-label', words.showLong(said));
      away.setAttribute('aria-label', words.deleteLong(said));
      const found = work.namedFound[cutKey(section)];
      Object.assign(root.dataset, { lines: String(found?.now.lines ?? ''), length: String(found?.now.length ?? ''), before: String(found?.before?.length ?? ''), apart: String(found?.apart?.distance ?? '') });
      replace(facts, found ? table(found, work, store, key) : el('p', { class: 'quiet' }, words.waiting));
    },
  };
}

const withUnit = (name, unit) => `${name}, ${unitName(unit)}`;

/** What the cut comes to, and beside it what that of the earlier revision does. */
function table({ now, before, apart }, { earlier }, store, key) {
  if (now.lines === 0 && !before?.lines) return el('p', { class: 'quiet' }, texts.sections.nothing);
  const both = before && earlier?.record;
  const cut = (value) => (both ? [value(now), value(before)] : [value(now)]);
  const row = (name, values) => el('tr', {}, el('th', { scope: 'row' }, name), values.map((value) => el('td', {}, value)));
  const go = () => store.dispatch({ type: 'choose-face', face: null, flight: { point: apart.at, faces: [], size: null } });
  return [
    el(
      'table',
      { class: 'limits' },
      both && el('thead', {}, el('tr', {}, el('td', {}), [words.here, words.before].map((name) => el('th', { scope: 'col' }, name)))),
      el(
        'tbody',
        {},
        row(withUnit(texts.sections.length, 'mm'), cut(({ length }) => number(length))),
        row(texts.sections.lines, cut(({ lines }) => count(lines))),
        row(withUnit(texts.sections.most, '1/mm'), cut(({ most }) => number(most))),
      ),
    ),
    both && apart && el('button', { type: 'button', id: `section-apart-${key}`, class: 'line-row', on: { click: go } }, el('span', {}, words.apart), el('span', { class: 'line-length' }, quantity(apart.distance, 'mm'))),
  ];
}
