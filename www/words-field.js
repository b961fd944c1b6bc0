// A labelled box of words in a card, kept while what it belongs to is shown: what is typed outlives every redrawing.

import { el } from './dom.js';

let visits = 0;

/** `take(value, gesture)` at each change; all that is typed between coming and leaving has one gesture. `lines`: 1 for a box of one line. */
export function wordsField({ id, label, most, lines = 2, hint, title }, take) {
  let gesture = null;
  const box = el(lines > 1 ? 'textarea' : 'input', {
    id,
    ...(lines > 1 ? { rows: lines } : { type: 'text' }),
    maxlength: most,
    placeholder: hint,
    title,
    on: {
      focus: () => (gesture = `${id} ${(visits += 1)}`),
      input: () => take(box.value, gesture),
    },
  });
  return {
    box,
    root: el('div', { class: 'words-field' }, el('label', { for: id }, label), box),
    /** Shows what the state says; what is being typed stays as it is. */
    show: (value) => document.activeElement !== box && box.value !== value && (box.value = value),
  };
}
