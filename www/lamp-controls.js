// The Highlights pass: which stripes, and the lamp rig that makes them, in numbers. lamp-rig.js says what they are.

import { choice, el, replace } from './dom.js';
import { PRESS } from './lamp-play.js';
import { FIELDS, PRESETS, counts, presetOf, tidy } from './lamp-rig.js';
import { mountStripeExport } from './stripe-export.js';
import { texts } from './texts.js';

const words = texts.highlights;

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

const RIGS = Object.keys(PRESETS).map((name) => ({ value: name, id: `preset-${name}`, label: words[name] }));

const NOTES = { none: words.plainNote, isophote: words.isophoteNote, highlight: words.highlightNote, reflection: words.reflectionNote };

/** `play`: lets the lamps go round; `commands`: saveStripes(form), stopStripes(). */
export function mountLampControls(root, store, play, commands) {
  const set = (lamps, gesture) => store.dispatch({ type: 'set-lamps', lamps, gesture });
  const family = el('div', { class: 'block' });
  const presets = el('div', { class: 'block' });
  const fields = FIELDS.map((field) => fieldRow(field, set));
  const drag = el('div', { class: 'block' });
  const round = el('button', { type: 'button', id: 'lamp-play', on: { click: () => play.toggle() } });
  const shown = el('input', {
    type: 'checkbox',
    id: 'rig-shown',
    on: { change: () => store.dispatch({ type: 'show-handles', handles: shown.checked }) },
  });
  const rig = el(
    'fieldset',
    { class: 'block rig' },
    el('legend', {}, words.rig),
    presets,
    round,
    drag,
    el('label', { class: 'tick-box' }, shown, words.handles),
    fields.map(({ row }) => row),
  );
  const traced = el('div', { class: 'block' });
  replace(root, family, rig, traced);
  mountStripeExport(traced, store, commands);

  store.watch(
    ({ work }) => [work.playing],
    ({ work }) => {
      round.textContent = play.still() ? words.press(PRESS) : work.playing ? words.pause : words.play;
      if (!play.still()) round.setAttribute('aria-pressed', String(work.playing));
    },
  );
  store.watch(
    ({ work }) => [work.drag, work.handles],
    ({ work }) => {
      shown.checked = work.handles;
      replace(
        drag,
        el('h3', {}, words.drag),
        choice(words.drag, DRAGS, work.drag, (value) => store.dispatch({ type: 'choose-drag', drag: value })),
      );
    },
  );
  store.watch(
    ({ review }) => [review.lamps.family],
    ({ review: { lamps } }) => {
      replace(
        family,
        el('h3', {}, words.family),
        choice(words.family, FAMILIES, lamps.family, (value) => set({ family: value }), 'tall'),
        el('p', { class: 'quiet' }, NOTES[lamps.family]),
      );
      rig.hidden = lamps.family === 'none';
      for (const { field, row } of fields) row.hidden = !counts(field, lamps.family);
    },
  );
  store.watch(
    ({ review }) => [presetOf(review.lamps)],
    ({ review }) => replace(presets, el('h3', {}, words.presets), choice(words.presets, RIGS, presetOf(review.lamps), (name) => set(PRESETS[name]), 'pairs')),
  );
  store.watch(
    ({ review }) => [review.lamps],
    ({ review: { lamps } }) => {
      for (const { field, show } of fields) show(lamps[field.name]);
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
        if (box.value !== '' && Number.isFinite(value)) set(tidy({ [field.name]: value }));
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
