// Combs drawn over the model: which ones, how high, how dense. In the Joins pass those of the chosen join, in the Form pass those of
// the chosen face.

import { el, replace } from './dom.js';
import { quantity } from './format.js';
import { FACE_WAYS, JOIN_WAYS } from './combs.js';
import { faceName, sidesOf } from './records.js';
import { texts } from './texts.js';

const words = texts.combs;

/** Sliders: spacing and height run by powers of ten, so that small parts and whole bodies are within reach. */
const SLIDES = {
  height: { min: -1.5, max: 1, step: 0.05, of: (x) => 10 ** x, to: Math.log10 },
  spacing: { min: -1, max: 2, step: 0.05, of: (x) => Number((10 ** x).toPrecision(2)), to: Math.log10 },
  curves: { min: 1, max: 30, step: 1, of: (x) => x, to: (x) => x },
};

export const mountJoinCombs = (root, store) => mount(root, store, 'join', JOIN_WAYS, ['height', 'spacing']);
export const mountFaceCombs = (root, store) => mount(root, store, 'face', FACE_WAYS, ['height', 'spacing', 'curves']);

function mount(root, store, kind, ways, sliders) {
  root.id = `${kind}-combs`;
  const set = (combs) => store.dispatch({ type: 'set-combs', combs });
  const ticks = ways.map((way) => {
    const box = el('input', {
      type: 'checkbox',
      id: `comb-${way}`,
      on: { change: () => set({ ways: { ...store.state.work.combs.ways, [way]: box.checked } }) },
    });
    return { way, box, row: el('label', { class: 'tick', for: `comb-${way}` }, box, words.ways[way]) };
  });
  const rows = sliders.map((name) => {
    const { of, to, ...range } = SLIDES[name];
    const said = el('output', { for: `${kind}-comb-${name}` });
    const slider = el('input', {
      type: 'range',
      ...range,
      id: `${kind}-comb-${name}`,
      'aria-label': words[name],
      on: { input: () => set({ [name]: of(Number(slider.value)) }) },
    });
    const show = (value) => {
      slider.value = String(to(value));
      said.textContent = words.said[name](value);
      slider.setAttribute('aria-valuetext', said.textContent);
    };
    return { name, show, row: el('div', { class: 'field slide-row' }, el('label', { for: slider.id }, words[name]), slider, said) };
  });
  const found = el('div', { class: 'comb-found', 'aria-live': 'polite' });
  const hint = el('p', { class: 'quiet' }, words.hints[kind]);
  replace(root, el('h3', {}, words.titles[kind]), ticks.map(({ row }) => row), rows.map(({ row }) => row), hint, found);

  store.watch(
    ({ work }) => [work.combs],
    ({ work: { combs } }) => {
      ticks.forEach(({ way, box }) => (box.checked = combs.ways[way]));
      rows.forEach(({ name, show, row }) => {
        show(combs[name]);
        row.hidden = !ways.some((way) => combs.ways[way]);
      });
    },
  );
  store.watch(
    ({ work }) => [work.combsFound, work.selection, work.combs.ways],
    ({ work }) => {
      const chosen = work.selection[kind] !== null && work.selection[kind] !== undefined;
      const wanted = ways.some((way) => work.combs.ways[way]);
      hint.hidden = !wanted || chosen;
      const mine = work.combsFound?.wish[kind] === work.selection[kind] && chosen && wanted;
      replace(found, mine && foundOf(work));
    },
  );
}

/** Of each side its name, its stroke, its largest curvature and its inflections. */
function foundOf({ combsFound: { wish, sets }, joins, model: { summary } }) {
  const join = joins.find((one) => one.id === wish.join);
  const names = join ? sidesOf(join, summary) : [faceName(summary, wish.face)];
  return el(
    'ul',
    { class: 'comb-sides' },
    sets
      .filter(({ most }) => most !== null)
      .map(({ side, most, inflections }) =>
        el(
          'li',
          { data: { side, most: String(most), inflections: String(inflections.length / 3) } },
          el('span', { class: `comb-mark ${side}`, 'aria-hidden': 'true' }),
          el('span', {}, el('b', {}, names[side === 'second' ? 1 : 0] ?? ''), ` ${words.most(quantity(most, '1/mm'))}, ${words.inflections(inflections.length / 3)}`),
        ),
      ),
  );
}
