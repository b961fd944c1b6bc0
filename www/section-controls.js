// Plane sections in the Form pass: where the planes lie, how far apart, and combs on the cuts.

import { choice, el, factList, replace, triple } from './dom.js';
import { count, number, quantity } from './format.js';
import { diagonal } from './records.js';
import { sectionReach, sectionSizes, sectionWish, shownTeeth } from './sections.js';
import { POWERS, STRAIGHT, slide } from './slide.js';
import { texts } from './texts.js';

const words = texts.sections;

const AXES = [
  { id: 'section-x', value: 'x', label: 'X', axis: [1, 0, 0] },
  { id: 'section-y', value: 'y', label: 'Y', axis: [0, 1, 0] },
  { id: 'section-z', value: 'z', label: 'Z', axis: [0, 0, 1] },
];

/** Spacings by powers of ten: from this part of the model's size to this. More planes run together; fewer miss the model. */
const SPACINGS = [200, 2];

export function mountSectionControls(root, store) {
  root.id = 'sections';
  const set = (sections) => store.dispatch({ type: 'set-sections', sections });
  const tick = (id, label, name) => {
    const box = el('input', { type: 'checkbox', id, on: { change: () => set({ [name]: box.checked }) } });
    return { row: el('label', { class: 'tick', for: id }, box, label), show: (on) => (box.checked = on) };
  };
  const mm = (x) => words.said.mm(number(x));
  const on = tick('sections-on', words.on, 'on');
  const single = tick('sections-single', words.one, 'single');
  const combs = tick('sections-combs', words.combs, 'combs');
  const spacing = slide({ id: 'section-spacing', label: words.spacing, run: { min: -1, max: 3, step: 0.02, ...POWERS }, said: mm, set: (x) => set({ spacing: x }) });
  const at = slide({ id: 'section-at', label: words.at, run: { min: -1, max: 1, step: 'any', ...STRAIGHT }, said: mm, set: (x) => set({ at: x }) });
  const height = slide({ id: 'section-height', label: words.height, run: { min: -1.5, max: 1, step: 0.05, ...POWERS }, said: words.said.height, set: (x) => set({ height: x }) });
  const tooth = slide({ id: 'section-tooth', label: words.tooth, run: { min: -1, max: 2, step: 0.05, ...POWERS }, said: mm, set: (x) => set({ tooth: x }) });
  const axis = el('div');
  const found = el('div', { id: 'section-found', 'aria-live': 'polite' });
  const more = el('div', { class: 'section-more' }, axis, single.row, spacing.row, at.row, combs.row, height.row, tooth.row, found);
  replace(root, el('h3', {}, words.title), on.row, more);

  store.watch(
    ({ work }) => [work.sections, work.model],
    ({ work }) => {
      const { sections, model } = work;
      const size = diagonal(model?.summary) || 1000;
      const { spacing: apart, tooth: teeth } = sectionSizes(work);
      const [low, high] = sectionReach(work);
      const box = model?.summary.bbox;
      on.show(sections.on);
      single.show(sections.single);
      combs.show(sections.combs);
      more.hidden = !sections.on || !box;
      spacing.range(Math.log10(size / SPACINGS[0]), Math.log10(size / SPACINGS[1]), 0.02);
      at.range(low, high, (high - low) / 500);
      spacing.show(apart);
      at.show(Math.min(high, Math.max(low, sections.at ?? 0.5 * (low + high))));
      height.show(sections.height);
      tooth.show(teeth);
      spacing.row.hidden = sections.single;
      at.row.hidden = !sections.single;
      height.row.hidden = tooth.row.hidden = !sections.combs;
      replace(axis, axisFields(sections.axis, (to) => set({ axis: to, at: null })));
    },
  );
  store.watch(
    ({ work }) => [work.sectionsFound, work.sections],
    ({ work }) => replace(found, sectionWish(work) && foundOf(work.sectionsFound, work.sections)),
  );
}

function axisFields(axis, set) {
  const same = AXES.find((one) => one.axis.every((x, i) => x === axis[i]))?.value;
  return [
    el('h4', {}, words.axis),
    choice(words.axis, AXES, same, (value) => set(AXES.find((one) => one.value === value).axis)),
    triple('section-normal', words.parts, axis, set),
  ];
}

/** What the cuts come to. */
function foundOf(found, sections) {
  if (!found) return el('p', { class: 'quiet' }, words.waiting);
  const { counts, length, combs } = found.cuts;
  if (counts.length === 0) return el('p', { class: 'quiet' }, words.nothing);
  const short = sections.combs ? shownTeeth(combs).short : 0;
  const rows = [
    [words.lines, count(counts.length)],
    [words.length, quantity(length, 'mm')],
    ...(combs.most === null ? [] : [[words.most, quantity(combs.most, '1/mm')], [words.inflections, count(combs.inflections.length / 3)]]),
  ];
  return [
    factList(rows, { data: { lines: String(counts.length), length: String(length), most: String(combs.most) } }),
    short > 0 && el('p', { class: 'quiet' }, words.short(short)),
    el('p', { class: 'quiet' }, words.exact),
  ];
}
