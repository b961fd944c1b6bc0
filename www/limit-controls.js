// The limits of the order on the model, in the Joins pass: a slider and a number each. Joins and findings follow at once.

import { el, replace } from './dom.js';
import { unitName } from './format.js';
import { GRADED, limitName, moveLimit, shownLimits, slide, usualLimits } from './limits.js';
import { texts } from './texts.js';

const words = texts.joins;

export function mountLimitControls(root, store) {
  root.id = 'join-limits';
  let drags = 0;
  const set = (index, value, gesture) => moveLimit(store, index, value, gesture);
  const rows = GRADED.map((severity, index) => limitRow(severity, index, set, () => `limit ${index} ${drags}`, () => (drags += 1)));
  const usual = el(
    'button',
    { type: 'button', id: 'limits-usual', on: { click: () => usualLimits(store) } },
    words.usual,
  );
  const title = el('h3', {});
  const note = el('p', { class: 'quiet' }, words.limitsNote);
  replace(root, title, rows.map(({ row }) => row), usual, note);

  store.watch(
    ({ work, review }) => [work.limits, work.measure, review.limits, review.yardstick],
    (state) => {
      const { measure } = state.work;
      const shown = shownLimits(state, measure);
      root.hidden = !shown;
      if (!shown) return;
      title.textContent = words.limits(measure.toUpperCase(), texts.zones[state.review.yardstick], unitName(shown.unit));
      usual.hidden = !shown.changed;
      rows.forEach(({ show }, i) => show(shown.limits[i], shown.unit));
    },
  );
  // How often joins were looked for: a hook for tests, and for whoever doubts that dragging measures nothing again.
  store.watch(
    ({ work }) => [work.surveys],
    ({ work }) => {
      root.dataset.surveys = String(work.surveys);
    },
  );
}

/** A slider and a number that say the same; one drag of the slider is one step to undo. */
function limitRow(severity, index, set, gesture, ended) {
  let unit = 'mm';
  const percent = () => (unit === 'share' ? 100 : 1);
  const slider = el('input', {
    type: 'range',
    min: 0,
    step: 1,
    id: `limit-${severity}-slider`,
    'aria-label': limitName(index),
    on: {
      input: () => set(index, slide(unit).value(Number(slider.value)), gesture()),
      change: ended,
    },
  });
  const box = el('input', {
    type: 'number',
    min: 0,
    step: 'any',
    id: `limit-${severity}`,
    on: { change: () => (box.value === '' ? show(known, unit) : set(index, Number(box.value) / percent())) },
  });
  const row = el(
    'div',
    { class: 'field limit-row' },
    el('label', { for: `limit-${severity}` }, el('span', { class: `bar ${severity}`, 'aria-hidden': 'true' }), texts.severity[severity]),
    slider,
    box,
  );
  let known = null;
  const show = (value, of) => {
    [known, unit] = [value, of];
    const { steps, at } = slide(of);
    slider.max = String(steps);
    slider.disabled = value === null;
    slider.value = String(value === null ? steps : at(value));
    const text = value === null ? '' : String(Number((value * percent()).toPrecision(3)));
    if (box.value !== text) box.value = text;
    slider.setAttribute('aria-valuetext', value === null ? texts.legend.none : `${text} ${unitName(of)}`);
  };
  return { row, show };
}
