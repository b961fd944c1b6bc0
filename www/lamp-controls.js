// The Highlights pass: which stripes, and the lamp rig that makes them.
//
// azimuth, elevation: direction to the lamps, degrees, from +x towards +y and from the xy plane upwards.
// turn: of the lamps about that direction, degrees; 0 sets them side by side on one level.
// count: lamps · width: lit share of the spacing, 0 to 1 · reach: distance of the lamp plane in model sizes.

import { choice, el, replace } from './dom.js';
import { INITIAL } from './state.js';
import { texts } from './texts.js';

const words = texts.highlights;

/** Ranges of the rig: outside them the stripes are finer than a pixel, or one stripe covers the whole model. */
const FIELDS = [
  { name: 'azimuth', min: -180, max: 180, step: 1 },
  { name: 'elevation', min: -90, max: 90, step: 1 },
  { name: 'turn', min: -90, max: 90, step: 1, inPlane: true },
  { name: 'count', min: 2, max: 80, step: 1 },
  { name: 'width', min: 0.05, max: 0.95, step: 0.05 },
  { name: 'reach', min: 0.2, max: 10, step: 0.1, inPlane: true },
];

const FAMILIES = [
  { value: 'none', id: 'stripe-plain', label: words.plain },
  { value: 'isophote', id: 'stripe-isophote', label: words.isophote },
  { value: 'highlight', id: 'stripe-highlight', label: words.highlight },
  { value: 'reflection', id: 'stripe-reflection', label: words.reflection },
];

const DRAGS = [
  { value: 'view', id: 'drag-view', label: words.dragView, title: 'L' },
  { value: 'lamps', id: 'drag-lamps', label: words.dragLamps, title: 'L' },
];

const NOTES = { none: words.plainNote, isophote: words.isophoteNote, highlight: words.highlightNote, reflection: words.reflectionNote };

export function mountLampControls(root, store) {
  const set = (lamps, gesture) => store.dispatch({ type: 'set-lamps', lamps, gesture });
  const family = el('div', { class: 'block' });
  const fields = FIELDS.map((field) => fieldRow(field, set));
  const drag = el('div', { class: 'block' });
  const rig = el(
    'fieldset',
    { class: 'block rig' },
    el('legend', {}, words.rig),
    drag,
    fields.map(({ row }) => row),
    el(
      'button',
      {
        type: 'button',
        id: 'lamp-reset',
        on: { click: () => set({ ...INITIAL.review.lamps, family: store.state.review.lamps.family }) },
      },
      words.reset,
    ),
  );
  replace(root, family, rig);

  store.watch(
    ({ work }) => [work.drag],
    ({ work }) =>
      replace(
        drag,
        el('h3', {}, words.drag),
        choice(words.drag, DRAGS, work.drag, (value) => store.dispatch({ type: 'choose-drag', drag: value })),
      ),
  );
  store.watch(
    ({ review }) => [review.lamps],
    ({ review: { lamps } }) => {
      replace(
        family,
        el('h3', {}, words.family),
        choice(words.family, FAMILIES, lamps.family, (value) => set({ family: value }), 'tall'),
        el('p', { class: 'quiet' }, NOTES[lamps.family]),
      );
      rig.hidden = lamps.family === 'none';
      for (const { field, row, show } of fields) {
        row.hidden = Boolean(field.inPlane) && lamps.family === 'isophote';
        show(lamps[field.name]);
      }
    },
  );
}

/** A slider and a number that say the same. One drag of the slider is one step to undo. */
function fieldRow(field, set) {
  const range = { min: field.min, max: field.max };
  const label = words[field.name];
  let drags = 0;
  const slider = el('input', {
    type: 'range',
    ...range,
    step: field.step,
    id: `lamp-${field.name}-slider`,
    'aria-label': label,
    on: {
      input: () => set({ [field.name]: Number(slider.value) }, `${field.name} ${drags}`),
      change: () => (drags += 1),
    },
  });
  const box = el('input', {
    type: 'number',
    ...range,
    step: field.step < 1 ? field.step : 'any',
    id: `lamp-${field.name}`,
    on: {
      change: () => {
        const value = Number(box.value);
        if (box.value !== '' && Number.isFinite(value)) set({ [field.name]: Math.min(field.max, Math.max(field.min, value)) });
      },
    },
  });
  const row = el(
    'div',
    { class: 'field' },
    el('label', { for: `lamp-${field.name}` }, label),
    slider,
    box,
  );
  const show = (value) => {
    slider.value = String(value);
    if (box.value === '' || Number(box.value) !== value) box.value = String(value);
  };
  return { field, row, show };
}
