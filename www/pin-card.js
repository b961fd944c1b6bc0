// The card of a chosen pin: its words, severity and state, the way to its place, its lamps, what is drawn for it. Kept while it is chosen.

import { choice, el, factList, replace } from './dom.js';
import { point } from './format.js';
import { stateChoice } from './judgement.js';
import { MOST, PIN_SEVERITIES, chosenPin, pinTitle } from './pins.js';
import { faceName, faceTotal } from './records.js';
import { texts } from './texts.js';
import { wordsField } from './words-field.js';

const words = texts.pins;

/** Returns {root, key, show(state)}. */
export function createPinCard(key, store, pins) {
  const pin = () => chosenPin(store.state);
  const set = (change, gesture) => store.dispatch({ type: 'set-pin', key, change, gesture });
  const button = (id, label, click, title) => el('button', { type: 'button', id, title, on: { click: () => pin() && click(pin()) } }, label);

  const name = el('h3', {});
  const title = wordsField({ id: 'pin-title', label: words.title, most: MOST.title, lines: 1 }, (value, gesture) => set({ title: value }, gesture));
  const text = wordsField({ id: 'pin-text', label: words.text, most: MOST.text, lines: 3, hint: words.textHint }, (value, gesture) => set({ text: value }, gesture));
  const severity = el('div', {});
  const state = el('div', {});
  const facts = el('div', {});
  const draw = button('pin-draw', words.draw, () => pins.draw(!store.state.work.pinView.draw), words.drawHint);
  const clear = button('pin-clear', words.clear, () => {
    store.dispatch({ type: 'drop-strokes', key, all: true });
    draw.focus();
  });
  const lines = el('span', { class: 'quiet' });

  const root = el(
    'div',
    { class: 'pin-card' },
    el(
      'div',
      { class: 'card-title' },
      el('span', { class: 'pin-number', 'aria-hidden': 'true' }, String(key)),
      name,
      el('button', { type: 'button', id: 'card-close', on: { click: () => store.dispatch({ type: 'choose-nothing' }) } }, texts.card.close),
    ),
    title.root,
    text.root,
    el('div', { class: 'words-field' }, el('span', { class: 'label' }, words.severity), severity),
    el('div', { class: 'words-field' }, el('span', { class: 'label' }, words.state), state),
    facts,
    el(
      'div',
      { class: 'buttons' },
      button('pin-go', words.go, (one) => pins.go(one), 'G'),
      button('pin-lamps', words.lamps, (one) => pins.lamps(one), words.lampsHint),
      button('pin-keep', words.keep, (one) => pins.keep(one), words.keepHint),
    ),
    el('div', { class: 'buttons' }, draw, clear, lines),
    el('div', { class: 'buttons' }, button('pin-delete', words.delete, remove)),
  );

  function remove(one) {
    pins.remove(one);
    (document.querySelector('#finding-list .row') ?? document.getElementById('pin-add'))?.focus();
  }

  function show({ work }) {
    const one = pin();
    if (!one) return;
    name.textContent = pinTitle(one);
    title.show(one.title);
    text.show(one.text);
    replace(severity, choice(words.severity, PIN_SEVERITIES.map((to) => ({ id: `pin-${to}`, value: to, label: texts.severity[to] })), one.severity, (to) => set({ severity: to })));
    replace(state, stateChoice(words.state, one.state, (to) => set({ state: to })));
    const { summary } = work.model;
    const face = one.face !== null && one.face < faceTotal(summary) ? faceName(summary, one.face) : null;
    replace(facts, factList([[texts.card.faces, face], [words.place, point(one.place)], [words.pass, texts.passes[one.pass]]]));
    draw.setAttribute('aria-pressed', String(work.pinView.draw));
    clear.hidden = lines.hidden = one.strokes.length === 0;
    lines.textContent = words.drawn(one.strokes.length, MOST.strokes);
  }
  show(store.state);
  return { root, key, show };
}
