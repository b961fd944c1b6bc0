// The point probe: what a place of the model measures, how far two places are apart, and how far one is from a patch.

import { choice, el, factList, replace, triple } from './dom.js';
import { number, point, quantity } from './format.js';
import { faceName } from './records.js';
import { texts } from './texts.js';

const words = texts.probe;

/** Pull directions at hand. */
const PULLS = ['x', 'y', 'z'].flatMap((axis, i) =>
  [1, -1].map((sign) => ({ id: `pull-${sign < 0 ? 'minus' : 'plus'}-${axis}`, pull: [0, 1, 2].map((k) => (k === i ? sign : 0)), label: `${sign < 0 ? '−' : '+'}${axis.toUpperCase()}` })),
);

export function mountProbe(root, store) {
  root.id = 'probe';
  const tools = el('div', { class: 'block' });
  const pull = el('div', { class: 'block' });
  const list = el('div', { class: 'block', id: 'probe-list', 'aria-live': 'polite' });
  replace(root, el('h3', {}, words.title), tools, list, pull);
  const aim = (next) => store.dispatch({ type: 'probe-aim', next: store.state.work.probe.next === next ? null : next });

  store.watch(
    ({ work }) => [work.probe.next, work.probe.places],
    ({ work: { probe } }) => {
      const tool = (next, id, label, off) =>
        el('button', { type: 'button', id, disabled: off, 'aria-pressed': String(probe.next === next), on: { click: () => aim(next) } }, label);
      replace(
        tools,
        el(
          'div',
          { class: 'buttons' },
          tool('place', 'probe-place', words.place, false),
          tool('patch', 'probe-patch', words.patch, probe.places.length === 0),
          el(
            'button',
            { type: 'button', id: 'probe-clear', disabled: probe.places.length === 0, on: { click: () => store.dispatch({ type: 'probe-clear' }) } },
            words.clear,
          ),
        ),
        el('p', { class: 'quiet' }, probe.next ? words.hints[probe.next] : words.hint),
      );
    },
  );
  store.watch(
    ({ work }) => [work.probe.found, work.model],
    ({ work }) => replace(list, work.model && foundOf(work)),
  );
  store.watch(
    ({ review }) => [review.pull],
    ({ review }) => {
      const set = (to) => store.dispatch({ type: 'set-pull', pull: to });
      const same = PULLS.find((one) => one.pull.every((x, i) => x === review.pull[i]));
      replace(
        pull,
        el('h3', {}, words.pull),
        choice(words.pull, PULLS.map((one) => ({ ...one, value: one })), same, (one) => set(one.pull), 'threes'),
        triple('pull', words.pull, review.pull, set),
      );
    },
  );
}

function foundOf({ probe: { found }, model: { summary } }) {
  if (!found) return null;
  const { points, between, nearest } = found;
  return [
    points.map((p, i) => p && [el('h4', {}, words.point(i + 1)), facts(pointRows(p, summary), p)]),
    between && [el('h4', { id: 'probe-between' }, words.between), facts([[words.distance, quantity(between.distance, 'mm')], [words.parts, point(between.parts)]], between)],
    nearest && [
      el('h4', { id: 'probe-nearest' }, words.toPatch(faceName(summary, nearest.face))),
      facts(
        [
          [words.distance, quantity(nearest.distance, 'mm')],
          [words.side, nearest.signed === null || nearest.distance === 0 ? null : nearest.signed > 0 ? words.outward : words.inward],
          [words.foot, point(nearest.point)],
        ],
        nearest,
      ),
      !nearest.inside && el('p', { class: 'quiet' }, words.beyond),
    ],
  ];
}

function pointRows({ face, u, v, point: p, form }, summary) {
  return [
    [words.face, faceName(summary, face)],
    [words.position, point(p)],
    [words.uv, `${number(u)}, ${number(v)}`],
    ...(form
      ? [
          [words.normal, point(form.normal, 3)],
          [words.max, quantity(form.max, '1/mm')],
          [words.min, quantity(form.min, '1/mm')],
          [words.radius, form.radius === null ? words.flat : quantity(form.radius, 'mm')],
          [words.draft, form.draft === null ? null : quantity(form.draft, 'deg')],
        ]
      : [[words.normal, words.noNormal]]),
  ];
}

/** The record itself hangs on the list, digits and all, for tests and for whoever copies them. */
const facts = (rows, record) => factList(rows, { data: { record: JSON.stringify(record) } });
