// The search distance of joins, in the Joins pass. Another one looks for the joins anew, in a worker of its own, which can be cancelled.

import { el, replace } from './dom.js';
import { quantity } from './format.js';
import { texts } from './texts.js';

const words = texts.search;

/** Ends of the slider, mm as powers of ten. */
const [LOW, HIGH] = [-2, 1];

export function mountSearchControls(root, store) {
  root.id = 'join-search-block';
  const set = (search) => store.dispatch({ type: 'set-search', search });
  const rounded = (mm) => Number(mm.toPrecision(2));
  const slider = el('input', {
    type: 'range',
    min: LOW,
    max: HIGH,
    step: 0.05,
    id: 'join-search-slider',
    'aria-label': words.title,
    on: {
      // Finding joins takes its time: it begins when the slider is let go of.
      input: () => (box.value = String(rounded(10 ** Number(slider.value)))),
      change: () => set(rounded(10 ** Number(slider.value))),
    },
  });
  const box = el('input', {
    type: 'number',
    min: 0,
    step: 'any',
    id: 'join-search',
    on: { change: () => (Number(box.value) > 0 && Number.isFinite(Number(box.value)) ? set(Number(box.value)) : show(store.state)) },
  });
  const usual = el('button', { type: 'button', id: 'search-usual', on: { click: () => set(null) } }, words.usual);
  const note = el('p', { class: 'quiet' });
  replace(
    root,
    el('h3', {}, words.title),
    el('div', { class: 'field limit-row' }, el('label', { for: 'join-search' }, words.distance), slider, box),
    usual,
    note,
  );

  const show = ({ work, review }) => {
    root.hidden = !work.model;
    if (!work.model) return;
    const used = work.model.summary.search;
    const mm = review.search ?? used;
    slider.value = String(Math.log10(mm));
    slider.setAttribute('aria-valuetext', quantity(mm, 'mm'));
    box.value = String(Number(mm.toPrecision(3)));
    usual.hidden = review.search === null;
    note.textContent = words.note(quantity(used, 'mm'));
  };
  store.watch(({ work, review }) => [work.model, review.search], show);
}
