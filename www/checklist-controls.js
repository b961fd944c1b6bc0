// The checklist of a complete model at the foot of the Reference pass: its lines, a new one, the template they start from.

import { MOST, tally, tidyText } from './checklist.js';
import { checklistRow } from './checklist-row.js';
import { mountChecklistTemplate } from './checklist-template-controls.js';
import { template } from './checklist-template.js';
import { el, replace } from './dom.js';
import { texts } from './texts.js';

const words = texts.checklist;

export function mountChecklist(root, store, scene) {
  root.id = 'complete';
  const rows = new Map(); // key → row
  const told = el('span', { id: 'checklist-tally' });
  const hint = el('p', { class: 'quiet' }, words.hint);
  const list = el('ol', { id: 'checklist', 'aria-labelledby': 'checklist-title' });
  const start = el('button', { type: 'button', id: 'checklist-start', on: { click: fill } });
  const add = el('button', { type: 'button', id: 'checklist-add', on: { click: () => add.getAttribute('aria-disabled') !== 'true' && ask(true) } }, words.add);
  const full = el('p', { class: 'quiet' }, words.full(MOST.lines));
  const fresh = freshLine(store, () => ask(false));
  const kept = el('div', {});
  const templateChanged = mountChecklistTemplate(kept, store, () => show(store.state));
  replace(root, el('h3', { id: 'checklist-title' }, words.title, ' ', told), hint, list, fresh.root, full, el('div', { class: 'buttons' }, start, add), kept);

  /** Opens the box of a new line, or closes it. */
  function ask(open) {
    fresh.root.hidden = !open;
    add.hidden = open;
    if (open) fresh.focus();
    else add.focus();
  }

  function fill() {
    const lines = template().lines.map((text) => ({ text }));
    store.dispatch({ type: 'add-checks', lines, say: words.started(lines.length) });
    rows.get(store.state.review.checklist[0]?.key)?.focus();
  }

  function show({ review: { checklist }, work }) {
    told.textContent = checklist.length > 0 ? words.tally(tally(checklist)) : '';
    hint.hidden = start.hidden = checklist.length > 0;
    start.textContent = template().own ? words.startOwn : words.start;
    list.hidden = checklist.length === 0;
    full.hidden = checklist.length < MOST.lines;
    if (full.hidden) add.removeAttribute('aria-disabled');
    else add.setAttribute('aria-disabled', 'true');
    const keys = new Set(checklist.map(({ key }) => key));
    for (const key of rows.keys()) if (!keys.has(key)) rows.delete(key);
    checklist.forEach((line, i) => {
      if (!rows.has(line.key)) rows.set(line.key, checklistRow(line.key, store, scene));
      rows.get(line.key).show(line, i, checklist.length, work.checklistOpen === line.key, work);
    });
    arrange(list, checklist.map(({ key }) => rows.get(key).root));
    templateChanged(checklist);
  }

  store.watch(({ review, work }) => [review.checklist, work.checklistOpen, work.model, work.graphics], show);
  fresh.root.hidden = true;
}

/** Puts rows in order; the focus stays where it was. */
function arrange(list, wanted) {
  if (wanted.length === list.childElementCount && wanted.every((row, i) => row === list.children[i])) return;
  const active = document.activeElement;
  const held = list.contains(active);
  list.replaceChildren(...wanted);
  if (!held || !active.isConnected) return;
  active.focus({ preventScroll: true });
  active.scrollIntoView({ block: 'nearest' });
}

/** The box of a new line: Enter adds it and is ready for the next, Escape leaves. */
function freshLine(store, leave) {
  const box = el('input', { type: 'text', id: 'checklist-fresh', maxlength: MOST.text });
  const take = () => {
    const text = tidyText(box.value);
    const full = store.state.review.checklist.length >= MOST.lines;
    if (text !== '') store.dispatch({ type: 'add-checks', lines: [{ text }], say: full ? words.full(MOST.lines) : words.added(text) });
    if (!full) box.value = '';
    box.focus();
  };
  box.addEventListener('keydown', (event) => {
    if (event.isComposing) return;
    if (event.key === 'Enter') take();
    else if (event.key === 'Escape') leave();
  });
  const keep = el('button', { type: 'button', id: 'checklist-fresh-add', on: { click: take } }, words.keep);
  const done = el('button', { type: 'button', id: 'checklist-fresh-done', on: { click: leave } }, words.leave);
  return { root: el('div', { class: 'check-field' }, el('label', { for: box.id }, words.fresh), box, el('div', { class: 'buttons' }, keep, done)), focus: () => box.focus() };
}
