// The Form pass: which value colours the surfaces, over what range, with which isolines and limit.

import { choice, el, replace, tick } from './dom.js';
import { FORM_UNIT, FORM_VIEWS, MOST_CUT, isSigned, shownRange, shownStep } from './form-range.js';
import { unitName } from './format.js';
import { texts } from './texts.js';

const words = texts.form;

export function mountFormControls(root, store) {
  const set = (form) => store.dispatch({ type: 'set-form', form });
  const views = el('div', { class: 'block' });
  const rig = el('fieldset', { class: 'block rig' });
  replace(root, views, rig);

  store.watch(
    ({ review }) => [review.form],
    ({ review: { form } }) => {
      const options = FORM_VIEWS.map((view) => ({ value: view, id: `form-${view}`, label: words.views[view] }));
      replace(
        views,
        el('h3', {}, words.label),
        // Range and step belong to a value, and go with it.
        choice(words.label, options, form.view, (view) => set({ view, range: null, step: null }), 'tall'),
        el('p', { class: 'quiet' }, words.notes[form.view]),
      );
    },
  );
  store.watch(
    ({ work, review }) => [review.form, work.form],
    ({ work, review: { form } }) => {
      const unit = FORM_UNIT[form.view];
      rig.hidden = unit === undefined;
      if (!rig.hidden) replace(rig, fields(form, shownRange(form, work.form), unitName(unit), set));
    },
  );
}

function fields(form, range, unit, set) {
  const [low, high] = range ?? [null, null];
  return [
    el('legend', {}, words.range),
    number('form-cut', words.cut, form.cut, { min: 0, max: MOST_CUT, step: 1 }, (cut) =>
      set({ cut: Math.min(MOST_CUT, Math.max(0, Math.round(cut))), range: null }),
    ),
    isSigned(form.view)
      ? number('form-high', words.end(unit), high, { min: 0 }, (end) => end > 0 && set({ range: [-end, end] }))
      : [
          number('form-low', words.from(unit), low, { min: 0 }, (from) => from > 0 && from < high && set({ range: [from, high] })),
          number('form-high', words.to(unit), high, { min: 0 }, (to) => to > low && set({ range: [low, to] })),
        ],
    form.range && el('button', { type: 'button', id: 'form-reset', on: { click: () => set({ range: null }) } }, words.reset),
    form.view === 'radius' && number('form-limit', words.limit, form.limit, { min: 0 }, (limit) => set({ limit: Math.max(0, limit) })),
    tick('form-lines', words.lines, form.lines, (lines) => set({ lines })),
    form.lines &&
      form.view !== 'radius' &&
      number('form-step', words.step(unit), range && shownStep(form, range), { min: 0 }, (step) => set({ step: step > 0 ? step : null })),
    tick('form-swapped', words.swapped, form.swapped, (swapped) => set({ swapped })),
  ];
}

/** A labelled number; what is no number is not taken. */
function number(id, label, value, range, take) {
  const box = el('input', {
    type: 'number',
    id,
    step: 'any',
    ...range,
    value: value === null ? '' : short(value),
    on: { change: () => box.value !== '' && Number.isFinite(Number(box.value)) && take(Number(box.value)) },
  });
  return el('div', { class: 'field pair' }, el('label', { for: id }, label), box);
}

/** Four digits at most; small numbers with a power of ten, which the box would cut otherwise. */
function short(value) {
  const rounded = Number(value.toPrecision(3));
  return rounded !== 0 && Math.abs(rounded) < 1e-3 ? rounded.toExponential() : String(rounded);
}
