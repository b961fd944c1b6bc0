// The Centre line pass: the plane, found or picked, the mirror image, what crosses the plane, and how left and right differ.

import { choice, el, factList, replace, tick } from './dom.js';
import { number, quantity } from './format.js';
import { ORDER_UNIT, faceName, hasImages, joinValue, sidesOf } from './records.js';
import { ORDERS } from './protocol.js';
import { texts } from './texts.js';

const words = texts.centre;

/** Degrees off square from which a border is listed by itself. */
const TOLD = 0.01;

const AXES = { x: [1, 0, 0], y: [0, 1, 0], z: [0, 0, 1] };

export function mountCentreControls(root, store) {
  const [plane, lies, show, measure, across, rows] = Array.from({ length: 6 }, () => el('div', { class: 'block' }));
  lies.id = 'centre-lies';
  across.id = 'centre-joins';
  rows.id = 'centre-rows';
  replace(root, plane, lies, show, measure, across, rows);
  const setPlane = (to) => store.dispatch({ type: 'set-plane', plane: to });
  const set = (centre) => store.dispatch({ type: 'set-centre', centre });

  store.watch(
    ({ work, review }) => [review.plane, work.centre.picks, work.model],
    ({ work, review }) => {
      const axis = Object.keys(AXES).find((name) => review.plane?.normal && AXES[name].every((x, i) => x === review.plane.normal[i]));
      const chosen = work.centre.picks ? 'picks' : review.plane === null ? 'found' : (axis ?? 'picks');
      const options = [
        { id: 'plane-found', value: 'found', label: words.found },
        ...Object.keys(AXES).map((name) => ({ id: `plane-${name}`, value: name, label: words.axes[name] })),
        { id: 'plane-picks', value: 'picks', label: words.picks },
      ];
      replace(
        plane,
        el('h3', {}, words.plane),
        choice(words.plane, options, chosen, (value) => {
          if (value === 'picks') set({ picks: work.centre.picks ? null : [] });
          else setPlane(value === 'found' ? null : { normal: AXES[value], offset: 0 });
        }, 'wrapping'),
        axis && offsetField(axis, review.plane, setPlane),
        work.centre.picks && el('p', { class: 'quiet' }, words.pick(work.centre.picks.length + 1)),
        review.plane?.points && work.model && work.model.summary.mirror?.plane !== 'picked' && !work.busy && el('p', { class: 'quiet' }, words.noPlane),
      );
    },
  );
  store.watch(
    ({ work }) => [work.model],
    ({ work: { model } }) => {
      const mirror = model?.summary.mirror;
      replace(lies, mirror && facts(mirror));
    },
  );
  store.watch(
    ({ work }) => [work.centre, work.model],
    ({ work: { centre, model } }) => {
      const mirror = model?.summary.mirror;
      replace(
        show,
        mirror && [
          tick('centre-image', words.image, centre.image ?? !hasImages(model), (image) => set({ image })),
          hasImages(model) && tick('centre-map', words.map, centre.map, (map) => set({ map })),
        ],
      );
    },
  );
  store.watch(
    ({ work }) => [work.measure, work.model],
    ({ work }) => {
      const options = ORDERS.map((order) => ({ id: `centre-measure-${order}`, value: order, label: order.toUpperCase(), title: texts.joins[order] }));
      replace(measure, el('h3', {}, words.measure), choice(words.measure, options, work.measure, (to) => store.dispatch({ type: 'choose-measure', measure: to })));
    },
  );
  store.watch(
    ({ work }) => [work.joins, work.model, work.selection.join],
    ({ work }) => replace(across, work.model && [el('h3', {}, words.across), joinList(work, store)]),
  );
  store.watch(
    ({ work }) => [work.centreRows, work.model],
    ({ work: { centreRows, model } }) => replace(rows, model && centreRows && [el('h3', {}, words.rows), rowList(centreRows, model, store)]),
  );
}

function offsetField(axis, plane, setPlane) {
  const box = el('input', {
    type: 'number',
    step: 'any',
    id: 'plane-offset',
    value: String(plane.offset),
    on: { change: () => box.value !== '' && Number.isFinite(Number(box.value)) && setPlane({ ...plane, offset: Number(box.value) }) },
  });
  return el('div', { class: 'field pair' }, el('label', { for: 'plane-offset' }, words.at(axis)), box);
}

function facts({ plane, normal, offset, extent, share, deviation }) {
  const rows = [
    [words.lies, words.named[plane]],
    ...(plane === 'picked' ? [[words.normal, normal.map(number).join(', ')], [words.offset, quantity(offset, 'mm')]] : []),
    [words.model, words.extent[extent === 'none' && share > 0 ? 'unlike' : extent]],
    [words.share, quantity(share, 'share')],
    [words.deviation, deviation === null ? null : quantity(deviation, 'mm')],
  ];
  return factList(rows, { data: { plane, extent } });
}

/** Below this, mm and degrees, values are the last digits of double precision, which nobody needs to read. */
const NOISE = 1e-9;

/** The joins on the plane, each with all four orders. */
function joinList({ joins, model, selection }, store) {
  const all = joins.filter((join) => join.centre);
  if (all.length === 0) return el('p', { class: 'quiet' }, words.none);
  return el(
    'ul',
    { class: 'centre-list' },
    all.map((join) => {
      const values = ORDERS.map((order) => {
        const value = joinValue(join, order);
        return el('span', { class: 'centre-value', data: { order } }, el('b', {}, order.toUpperCase()), ` ${value === null || value === undefined ? words.notApplicable : quantity(Math.abs(value) < NOISE ? 0 : value, ORDER_UNIT[order])}`);
      });
      return el(
        'li',
        {},
        el(
          'button',
          { type: 'button', id: `centre-join-${join.id}`, 'aria-pressed': String(selection.join === join.id), on: { click: () => store.dispatch({ type: 'choose-join', join: join.id }) } },
          el('span', { class: 'centre-name' }, texts.ledger.faces(sidesOf(join, model.summary))),
          values,
        ),
      );
    }),
  );
}

function rowList(rows, { summary }, store) {
  if (rows.length === 0) return el('p', { class: 'quiet' }, words.noRows);
  const off = rows.filter(({ angle }) => angle >= TOLD).toSorted((a, b) => b.angle - a.angle);
  const rest = rows.length - off.length;
  return [el(
    'ul',
    { class: 'centre-list' },
    off.map(({ face, angle }, i) =>
      el(
        'li',
        {},
        el(
          'button',
          { type: 'button', id: `centre-row-${i}`, data: { angle: String(angle) }, on: { click: () => store.dispatch({ type: 'choose-face', face }) } },
          el('span', { class: 'centre-name' }, faceName(summary, face)),
          el('span', { class: 'centre-value' }, quantity(angle, 'deg')),
        ),
      ),
    ),
  ), rest > 0 && el('p', { class: 'quiet' }, words.rest(rest))];
}
