// What the reviewer says of a chosen finding: its state, another severity with a reason, a note. Kept while the finding is chosen.

import { choice, el, replace } from './dom.js';
import { MOST, STATES, markOf } from './marks.js';
import { SEVERITIES } from './protocol.js';
import { markKey } from './records.js';
import { texts } from './texts.js';
import { wordsField } from './words-field.js';

const words = texts.marks;

/** The states as a row of buttons, with their keys told. */
export const stateChoice = (label, state, take) =>
  choice(label, STATES.map((one) => ({ id: `mark-${one}`, value: one, label: words.states[one], title: `${words.states[one]} (${words.keys[one]})` })), state, take);

/** Returns {root, show()}; `show` after each change of the review. */
export function createJudgement(finding, store) {
  const { name } = store.state.work.model;
  const key = markKey(name, finding);
  const now = () => markOf(store.state.review.marks, name, finding);
  const set = (change, gesture) => store.dispatch({ type: 'mark-finding', key, change, gesture });
  const button = (id, label, click, title) => el('button', { type: 'button', id, title, on: { click } }, label);

  const states = el('div', {});
  const severity = el('div', { class: 'severity-mark' });
  const note = wordsField({ id: 'mark-note', label: words.note, most: MOST.note, title: words.noteHint }, (value, gesture) => set({ note: value }, gesture));
  let asking = false; // the form of another severity is open

  // The form of another severity.
  const to = el(
    'select',
    { id: 'mark-severity' },
    SEVERITIES.filter((one) => one !== finding.severity).map((one) => el('option', { value: one }, texts.severity[one])),
  );
  const reason = el('input', { type: 'text', id: 'mark-reason', maxlength: MOST.reason, 'aria-describedby': 'mark-needed' });
  const needed = el('p', { id: 'mark-needed', class: 'field-error', role: 'alert' });
  const form = el(
    'div',
    { class: 'overrule', role: 'group', 'aria-label': words.overrule },
    el('div', { class: 'words-field' }, el('label', { for: to.id }, words.severity), to),
    el('div', { class: 'words-field' }, el('label', { for: reason.id }, words.reason), reason, needed),
    el('div', { class: 'buttons' }, button('mark-overrule', words.take, take), button('mark-cancel', words.cancel, () => ask(false))),
  );
  reason.addEventListener('keydown', (event) => {
    if (event.key !== 'Enter' || event.isComposing) return;
    // Or it would press the button that gets the focus.
    event.preventDefault();
    take();
  });
  form.addEventListener('keydown', (event) => {
    if (event.key !== 'Escape') return;
    event.stopPropagation();
    ask(false);
  });
  reason.addEventListener('input', () => missing(false));

  function missing(is) {
    needed.textContent = is ? words.needed : '';
    if (is) reason.setAttribute('aria-invalid', 'true');
    else reason.removeAttribute('aria-invalid');
  }

  function take() {
    if (reason.value.trim() === '') {
      missing(true);
      reason.focus();
      return;
    }
    asking = false;
    set({ severity: to.value, reason: reason.value });
    show();
    root.querySelector('#mark-change')?.focus({ preventScroll: true });
  }

  function ask(open) {
    asking = open;
    missing(false);
    const mark = now();
    if (open) {
      [to.value, reason.value] = [mark.severity, mark.reason];
      // None yet, or what is measured by now.
      if (to.selectedIndex < 0) to.selectedIndex = 0;
    }
    show();
    (open ? to : root.querySelector('#mark-change, #mark-ask'))?.focus({ preventScroll: true });
    if (open) form.scrollIntoView({ block: 'nearest' });
  }

  function show() {
    const mark = now();
    replace(states, stateChoice(words.title, mark.state, (state) => set({ state })));
    if (asking) {
      if (!severity.contains(form)) replace(severity, form);
    } else if (mark.severity) {
      replace(
        severity,
        el('p', { id: 'mark-overruled' }, words.overruled(texts.severity[mark.severity], texts.severity[finding.severity])),
        el('p', { class: 'said' }, mark.reason),
        el('div', { class: 'buttons' }, button('mark-change', words.change, () => ask(true), words.overruleHint), button('mark-measured', words.measured, () => measured())),
      );
    } else replace(severity, button('mark-ask', words.overrule, () => ask(true), words.overruleHint));
    note.show(mark.note);
  }

  function measured() {
    set({ severity: null, reason: '' });
    root.querySelector('#mark-ask')?.focus({ preventScroll: true });
  }

  const root = el('div', { class: 'judgement' }, el('h3', {}, words.title), states, severity, note.root);
  show();
  return { root, show };
}
