// Combs drawn over the model: which ones, how high, how dense. In the Joins pass those of the chosen join, in the Form pass those of
// the chosen face.

import { el, replace } from './dom.js';
import { quantity } from './format.js';
import { FACE_WAYS, JOIN_WAYS } from './combs.js';
import { faceName, sidesOf } from './records.js';
import { POWERS, STRAIGHT, slide } from './slide.js';
import { texts } from './texts.js';

const words = texts.combs;

/** Sliders, by powers of ten but for the number of curves. */
const SLIDES = {
  height: { min: -1.5, max: 1, step: 0.05, ...POWERS },
  spacing: { min: -1, max: 2, step: 0.05, ...POWERS },
  curves: { min: 1, max: 30, step: 1, ...STRAIGHT },
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
  const rows = sliders.map((name) => ({
    name,
    ...slide({ id: `${kind}-comb-${name}`, label: words[name], run: SLIDES[name], said: words.said[name], set: (value) => set({ [name]: value }) }),
  }));
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
