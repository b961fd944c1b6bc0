// One line of the checklist: mark, words and state, and unfolded the fields that change it.

import { CHECKS, MOST, tidyText } from './checklist.js';
import { goTo, placeNow, placeSaid } from './checklist-place.js';
import { el, svg } from './dom.js';
import { texts } from './texts.js';

const words = texts.checklist;

/** Marks by state, each another shape: an empty box, a tick, a cross, a bar. */
const MARKS = { open: '', there: 'M3.5 8.5 6.5 11.5 12.5 4.5', missing: 'M4 4 12 12 M12 4 4 12', needless: 'M4 8 12 8' };

/** A row that is kept while its line is: what is typed in it is not lost when others change. Returns {root, show, focus}. */
export function checklistRow(key, store, scene) {
  const id = (name) => `check-${name}-${key}`;
  const line = () => store.state.review.checklist.find((one) => one.key === key);
  const set = (change, say, gesture) => store.dispatch({ type: 'set-check', key, change, say, gesture });
  const button = (name, label, click, props = {}) =>
    el('button', { type: 'button', id: id(name), ...props, on: { click: (event) => event.currentTarget.getAttribute('aria-disabled') !== 'true' && click() } }, label);
  const fold = (open) => {
    store.dispatch({ type: 'unfold-check', key: open ? key : null });
    if (open) root.scrollIntoView({ block: 'nearest' });
  };
  const close = () => {
    fold(false);
    text.focus();
  };

  const stroke = svg('path', {});
  const mark = svg('svg', { class: 'check-mark', viewBox: '0 0 16 16', 'aria-hidden': 'true' }, svg('rect', { x: 1, y: 1, width: 14, height: 14 }), stroke);
  const text = el('button', { type: 'button', id: `check-${key}`, class: 'check-text', 'aria-controls': id('more'), on: { click: () => fold(store.state.work.checklistOpen !== key) } });
  const state = el(
    'select',
    { id: id('state'), on: { change: () => set({ state: state.value }) } },
    CHECKS.map((one) => el('option', { value: one }, words.states[one])),
  );
  const has = el('span', { class: 'check-has' });

  const box = field(id('words'), words.text, MOST.text, (value, gesture) => tidyText(value) !== '' && set({ text: value }, undefined, gesture));
  box.area.addEventListener('keydown', (event) => {
    if (event.key !== 'Enter' || event.isComposing) return;
    event.preventDefault();
    close();
  });
  // Words that were all taken away come back: a line is deleted by its button.
  box.area.addEventListener('blur', () => line() && (box.area.value = line().text));
  const note = field(id('note'), words.note, MOST.note, (value, gesture) => set({ note: value }, undefined, gesture));
  const placed = el('p', { class: 'quiet check-place' });
  const keep = button('keep', words.keepPlace, () => set({ place: placeNow(store, scene) }, words.placeKept), { title: words.keepPlaceHint });
  const go = button('go', words.go, () => goTo(line().place, store, scene));
  const forget = button('forget', words.forgetPlace, () => {
    set({ place: null });
    keep.focus();
  }, { 'aria-label': words.forgetPlaceLong });
  const move = (by) => {
    const list = store.state.review.checklist;
    const to = list.findIndex((one) => one.key === key) + by;
    if (to >= 0 && to < list.length) store.dispatch({ type: 'move-check', key, by, say: words.moved(to + 1, list.length) });
  };
  const up = button('up', words.up, () => move(-1), { 'aria-keyshortcuts': 'Alt+ArrowUp', title: 'Alt+↑' });
  const down = button('down', words.down, () => move(1), { 'aria-keyshortcuts': 'Alt+ArrowDown', title: 'Alt+↓' });
  const away = button('delete', words.delete, () => {
    const list = store.state.review.checklist;
    const i = list.findIndex((one) => one.key === key);
    const next = list[i + 1] ?? list[i - 1];
    store.dispatch({ type: 'delete-check', key, say: words.deleted(list[i].text) });
    document.getElementById(next ? `check-${next.key}` : 'checklist-add')?.focus();
  });
  const more = el(
    'div',
    { class: 'check-more', id: id('more'), role: 'group' },
    box.root,
    note.root,
    el('div', { class: 'check-where' }, el('span', { class: 'label' }, words.place), placed, el('div', { class: 'buttons' }, go, forget, keep)),
    el('div', { class: 'buttons' }, up, down, away, button('close', words.close, close)),
  );
  const root = el('li', { class: 'check', data: { key: String(key) } }, mark, text, el('div', { class: 'check-state' }, state, has), more);
  root.addEventListener('keydown', (event) => {
    if (event.altKey && (event.key === 'ArrowUp' || event.key === 'ArrowDown') && event.target !== state) {
      event.preventDefault();
      move(event.key === 'ArrowUp' ? -1 : 1);
    } else if (event.key === 'Escape' && more.contains(event.target)) close();
  });

  /** Shows a line, the `i`th of `of`; what is being typed stays as it is. */
  function show(one, i, of, open, work) {
    root.dataset.state = one.state;
    stroke.setAttribute('d', MARKS[one.state]);
    text.textContent = one.text;
    text.setAttribute('aria-expanded', String(open));
    state.value = one.state;
    state.setAttribute('aria-label', words.state(one.text));
    has.textContent = [one.note && words.noted, one.place && words.placed].filter(Boolean).join(', ');
    more.hidden = !open;
    more.setAttribute('aria-label', words.unfold(one.text));
    if (!open) return;
    box.show(one.text);
    note.show(one.note);
    placed.textContent = one.place ? placeSaid(one.place, work.model) : '';
    placed.hidden = go.hidden = forget.hidden = !one.place;
    off(keep, !work.model || work.graphics !== 'ok');
    off(go, !work.model);
    off(up, i === 0);
    off(down, i === of - 1);
  }
  return { root, show, focus: () => text.focus() };
}

/** A button that cannot be used now keeps the focus. */
const off = (button, is) => (is ? button.setAttribute('aria-disabled', 'true') : button.removeAttribute('aria-disabled'));

let visits = 0;

/** A labelled box of words; all that is typed between coming and leaving is one step to undo. */
function field(id, label, most, take) {
  let gesture = null;
  const area = el('textarea', {
    id,
    rows: 2,
    maxlength: most,
    on: {
      focus: () => (gesture = `${id} ${(visits += 1)}`),
      input: () => take(area.value, gesture),
    },
  });
  return {
    area,
    root: el('div', { class: 'check-field' }, el('label', { for: id }, label), area),
    show: (value) => document.activeElement !== area && area.value !== value && (area.value = value),
  };
}
