// The Reference pass: what the model is held against, how far it lies off it, what is missing, and sections of both.

import { partButton, partsKey } from './checklist-part.js';
import { choice, el, factList, fileInput, replace, tick } from './dom.js';
import { count, number, quantity } from './format.js';
import { DEMO } from './open.js';
import { single } from './packed.js';
import { referenceBars } from './reference-bars.js';
import { referenceMap, shownRange, shownForm } from './form-range.js';
import { mountSweep } from './sweep-controls.js';
import { texts } from './texts.js';

const words = texts.reference;

/** What colours the model. */
const MAPS = ['reference', 'tilt'].map((value) => ({ id: `reference-map-${value}`, value, label: words.maps[value] }));

/** A distance below which two surfaces are one to rounding, mm. */
const ROUNDING = 1e-6;

/** Parts listed by themselves. More are a list that nobody reads to its end. */
const LISTED = 8;

const AXES = ['x', 'y', 'z'].map((axis, i) => ({ id: `reference-cut-${axis}`, value: axis, label: axis.toUpperCase(), axis: [0, 1, 2].map((k) => Number(k === i)) }));

export function mountReference(root, store, commands) {
  const block = () => el('div', { class: 'block' });
  const [ways, sweep, facts, parts, cuts] = [block(), block(), block(), block(), block()];
  replace(root, ways, sweep, facts, parts, cuts);
  mountWays(ways, store, commands);
  mountSweep(sweep, store, commands);
  store.watch(
    ({ work, review }) => [work.reference, work.referenceView, work.form, review.form],
    (state) => {
      const held = state.work.reference?.held;
      facts.hidden = !held;
      if (held) replace(facts, ...told(held, state, store));
    },
  );
  store.watch(
    ({ work, review }) => [work.reference, partsKey(review.checklist)],
    ({ work: { reference } }) => {
      // A sweep covers what lies between its rails: nothing is missing of it, and the rest of the model is not extra.
      parts.hidden = !reference?.held || reference.held.kind === 'sweep';
      if (!parts.hidden) replace(parts, ['missing', 'extra'].map((kind) => partList(kind, reference.held, store)));
    },
  );
  store.watch(
    ({ work }) => [work.reference, work.sections],
    ({ work: { reference, sections } }) => {
      cuts.hidden = !reference?.held;
      if (!cuts.hidden) replace(cuts, ...cutFields(sections, (one) => store.dispatch({ type: 'set-sections', sections: one })));
    },
  );
}

function mountWays(root, store, commands) {
  const input = fileInput('reference-input', words.open, (file) => commands.holdFile(file));
  const open = el('button', { type: 'button', id: 'reference-open', title: words.openHint, on: { click: () => input.click() } }, words.open);
  const demo = el('button', { type: 'button', id: 'reference-demo', on: { click: () => commands.holdDemo() } }, words.demo);
  const close = el('button', { type: 'button', id: 'reference-close', on: { click: () => commands.letGo() } });
  const note = el('p', { class: 'quiet', id: 'reference-note' });
  const near = field('reference-near', words.near, (mm) => store.dispatch({ type: 'set-reference-view', view: { near: mm } }));
  near.label.title = words.nearHint;
  replace(root, el('h3', {}, words.title), note, el('div', { class: 'buttons' }, open, input, demo, close), near.label);
  store.watch(
    ({ work }) => [work.reference, work.referenceView, work.model, work.busy],
    ({ work: { reference, referenceView, model, busy } }) => {
      open.disabled = demo.disabled = !model || busy !== null;
      demo.hidden = single || model?.name !== DEMO.split('/').pop();
      close.hidden = !reference;
      close.textContent = reference?.held === null ? texts.progress.cancel : words.close;
      note.textContent = reference ? (reference.held ? '' : words.reading(reference.name, reference.total > 0 ? Math.floor((100 * reference.done) / reference.total) : null)) : words.hint;
      note.hidden = note.textContent === '';
      near.set(referenceView.near);
    },
  );
}

function told(held, state, store) {
  const { distances: d } = held;
  const mm = (x) => quantity(Math.abs(x) < ROUNDING ? 0 : x, 'mm');
  const area = (x) => quantity(x, 'mm2');
  const rows = [];
  if (d) {
    rows.push(
      [words.most, mm(d.most.value)],
      [words.least, mm(d.least.value)],
      [words.mean, mm(d.mean)],
      [words.rms, mm(d.rms)],
      [words.middle, words.range(...[25, 75].map((i) => number(Math.abs(d.quantiles[i]) < ROUNDING ? 0 : d.quantiles[i])))],
      ...d.within.map(({ limit, share }) => [words.within(mm(limit)), quantity(share, 'share')]),
      [words.area, area(d.area)],
    );
  }
  const tilt = d?.tilt;
  if (tilt) rows.push([words.tiltRms, quantity(tilt.rms, 'deg')], [words.tiltMost, quantity(tilt.most.value, 'deg')]);
  // Beside a sweep lies the rest of the model.
  if (held.beside_area > 0 && held.kind !== 'sweep') rows.push([words.beside, area(held.beside_area)]);
  const data = d && { rms: String(d.rms), mean: String(d.mean), least: String(d.least.value), most: String(d.most.value), tilt: String(tilt?.most.value ?? '') };
  const shown = shownRange(shownForm(state), state.work.form);
  const map = referenceMap(state.work);
  const end = field('reference-end', words.ends[map], (value) => store.dispatch({ type: 'set-reference-view', view: { ends: { ...state.work.referenceView.ends, [map]: value } } }));
  end.set(shown ? Number(number(shown[1]).replace('−', '-')) : null);
  return [
    el('h3', {}, words.distances),
    el('p', { class: 'quiet' }, held.kind === 'sweep' ? words.kind.sweep : `${held.file}, ${words.kind[held.kind](count(held.count))}`),
    !d && el('p', { class: 'quiet' }, words.none),
    factList(rows, { id: 'reference-facts', data: data ?? {} }),
    held.turned > 0 && held.kind !== 'sweep' && el('p', { class: 'quiet' }, words.turned(held.turned)),
    d && referenceBars(d),
    d && el('p', { class: 'quiet' }, words.barsNote),
    tilt && choice(words.map, MAPS, map, (value) => store.dispatch({ type: 'set-reference-view', view: { map: value } })),
    d && end.label,
    d && el('p', { class: 'quiet' }, map === 'tilt' ? words.tiltNote : words.sign),
  ];
}

function partList(kind, { [kind]: all, file }, store) {
  // What is missing lies on faces of the reference, which cannot be chosen.
  const facesOf = (part) => (kind === 'extra' ? part.faces.slice(0, 1) : []);
  const row = (part, i) =>
    el(
      'li',
      {},
      el(
        'button',
        {
          type: 'button',
          id: `${kind}-${i + 1}`,
          class: 'line-row',
          data: { area: String(part.area) },
          on: { click: () => store.dispatch({ type: 'choose-face', face: facesOf(part)[0] ?? null, say: words.part(i + 1), flight: { point: part.at, faces: facesOf(part), size: 2 * Math.sqrt(part.area), beyond: true } }) },
        },
        el('span', {}, words.part(i + 1)),
        el('span', { class: 'line-length' }, quantity(part.area, 'mm2')),
        part.distance !== null && el('span', { class: 'line-odd' }, words.far(quantity(part.distance, 'mm'))),
      ),
      kind === 'missing' && partButton(part, i, file, store),
    );
  return [
    el('h3', {}, el('span', { class: `part-mark ${kind}`, 'aria-hidden': 'true' }), words[kind]),
    all.length === 0 ? el('p', { class: 'quiet' }, words.noParts) : el('ul', { class: 'look-list' }, all.slice(0, LISTED).map(row)),
    all.length > LISTED && el('p', { class: 'quiet' }, words.more(count(all.length - LISTED))),
  ];
}

function cutFields(sections, set) {
  const same = AXES.find((one) => one.axis.every((x, i) => x === sections.axis[i]))?.value;
  return [
    el('h3', {}, texts.sections.title),
    tick('reference-cuts', words.cuts, sections.on, (on) => set({ on })),
    sections.on && choice(texts.sections.axis, AXES, same, (value) => set({ axis: AXES.find((one) => one.value === value).axis, at: null })),
    sections.on && el('p', { class: 'quiet' }, words.cutsNote),
  ];
}

/** A labelled length above 0; what is none is not taken. */
function field(id, label, take) {
  const box = el('input', { type: 'number', id, min: 0, step: 'any', on: { change: () => Number(box.value) > 0 && take(Number(box.value)) } });
  return {
    label: el('div', { class: 'field pair' }, el('label', { for: id }, label), box),
    set: (mm) => (box.value = mm === null ? '' : String(mm)),
  };
}
