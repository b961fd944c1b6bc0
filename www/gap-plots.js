// What is measured along the chosen gap: one small plot a value, with limits, and a slider that walks the stations.

import { el, factList, svg } from './dom.js';
import { number, quantity } from './format.js';
import { VALUES, curvesOf, rangeOf, shown as tidy } from './gaps.js';
import { texts } from './texts.js';

const words = texts.gaps;

const [WIDTH, HEIGHT, PAD] = [190, 52, 4];

/** Plots, slider and readings of a gap. */
export function gapPlots(gap, gaps, { value, at: wanted }, store) {
  const at = gap.stations[wanted] ? wanted : null;
  const set = (view) => store.dispatch({ type: 'set-gap-view', view });
  const last = gap.stations.length - 1;
  const slider = el('input', {
    type: 'range',
    id: 'gap-station',
    min: 0,
    max: last,
    value: at ?? 0,
    'aria-label': words.station,
    'aria-valuetext': at === null ? undefined : words.stationAt(quantity(gap.stations[at].along, 'mm'), quantity(gap.length, 'mm')),
    on: { input: () => set({ at: Number(slider.value) }) },
  });
  return [
    VALUES.map((one) => plot(gap, gaps, one, one === value, at)),
    el('div', { class: 'field' }, el('label', { for: 'gap-station' }, words.station), slider),
    at !== null && reading(gap.stations[at]),
  ];
}

function plot(gap, { limits, nominal }, value, chosen, at) {
  const curves = curvesOf(gap, value);
  const range = rangeOf(curves);
  if (!range) return null;
  const name = words.long[value];
  const lines = limitsAt(value, limits[value], nominal);
  // Limits are drawn where the values come near them; a scale that reaches to all of them would flatten the curve.
  const own = Math.max(range[1] - range[0], 0.02 * Math.abs(range[1]), 1e-3);
  const shown = lines.filter(({ y }) => y > range[0] - 2 * own && y < range[1] + 2 * own);
  const [bottom, top] = [Math.min(range[0], ...shown.map(({ y }) => y)), Math.max(range[1], ...shown.map(({ y }) => y))];
  // Rounding is not blown up to the height of the plot.
  const room = Math.max(0.05 * own, 0.5 * (own - top + bottom));
  const [low, high] = [bottom - room, top + room];
  const x = (s) => (s / gap.length) * WIDTH;
  const y = (v) => PAD + (HEIGHT - 2 * PAD) * (1 - (v - low) / (high - low));
  const path = (curve) => curve.map((v, i) => (v === null ? null : `${x(gap.stations[i].along).toFixed(1)},${y(v).toFixed(1)}`)).filter(Boolean).join(' ');
  const [least, most] = range.map((x) => number(tidy(x)));
  return el(
    'figure',
    { class: 'gap-plot', data: { value, least: String(range[0]), most: String(range[1]) } },
    el('figcaption', {}, el('span', {}, chosen ? el('b', {}, name) : name), el('span', {}, `${words.range(least, most)} ${words.unit[value]}`)),
    svg(
      'svg',
      { class: 'line-plot', viewBox: `0 0 ${WIDTH} ${HEIGHT}`, role: 'img', 'aria-label': words.plot(name, `${least} ${words.unit[value]}`, `${most} ${words.unit[value]}`) },
      shown.map(({ severity, y: v }) => svg('line', { class: `gap-limit ${severity}`, x1: 0, x2: WIDTH, y1: y(v), y2: y(v) })),
      curves.map((curve, i) => svg('polyline', { points: path(curve), class: i > 0 ? 'slave' : '' })),
      at !== null && svg('line', { class: 'zero', x1: x(gap.stations[at].along), x2: x(gap.stations[at].along), y1: 0, y2: HEIGHT }),
    ),
  );
}

/** Where limits lie on the axis of a value: on both sides of the width that is meant, and of none. */
function limitsAt(value, limits, nominal) {
  return ['polish', 'fix', 'serious'].flatMap((severity, i) => {
    const limit = limits[i];
    if (limit === null || limit === undefined) return [];
    if (value === 'radius') return [{ severity, y: limit }];
    const about = value === 'width' ? nominal : 0;
    return [about - limit, about + limit].map((y) => ({ severity, y }));
  });
}

function reading({ along, width, flush, change, radii }) {
  return factList(
    [
      [words.facts.along, quantity(along, 'mm')],
      [words.facts.width, quantity(width, 'mm')],
      [words.facts.flush, flush === null ? null : quantity(tidy(flush), 'mm')],
      [words.facts.change, words.per(quantity(tidy(change), 'mm'))],
      [words.facts.radii, words.two(...radii.map((r) => quantity(r, 'mm')))],
    ],
    { id: 'gap-facts', data: { width: String(width) } },
  );
}
