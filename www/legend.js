// The legend of the joins' heat-map: the batlow ramp with the limits of the yardstick marked on it.

import { batlowStops } from './colours.js';
import { el, replace, svg } from './dom.js';
import { quantity } from './format.js';
import { texts } from './texts.js';

const WIDTH = 232;
const HEIGHT = 12;

/**
 * Where a value stands on the ramp, 0 to 1: linear between 0, the limits at equal steps, and twice the last limit.
 * The renderer colours by the same rule.
 */
export function rampPosition(value, limits) {
  const knots = [0, ...limits.filter((limit) => limit !== null)];
  if (knots.length === 1) return value > 0 ? 1 : 0;
  knots.push(2 * knots[knots.length - 1]);
  const last = knots.length - 1;
  for (let i = 0; i < last; i += 1) {
    if (value < knots[i + 1]) return (i + Math.max(0, (value - knots[i]) / (knots[i + 1] - knots[i]))) / last;
  }
  return 1;
}

/** The legend stands on the canvas while the joins are coloured. */
export function mountLegend(root, store) {
  store.watch(
    ({ work, review }) => [work.pass, work.model, work.limits, review.measure],
    ({ work, review }) => replace(root, work.pass === 'joins' && work.model && legend(review.measure, work.limits)),
  );
}

function legend(measure, limits) {
  const record = limits?.[measure];
  const values = record?.limits ?? [null, null, null];
  const named = ['polish', 'fix', 'serious']
    .map((severity, i) => ({ severity, value: values[i] }))
    .filter(({ value }) => value !== null);
  const ticks = named.map(({ severity, value }) => ({ severity, value, at: rampPosition(value, values) }));
  const id = `ramp-${measure}`;
  const ramp = svg(
    'svg',
    { class: 'ramp', viewBox: `0 0 ${WIDTH} ${HEIGHT + 6}`, 'aria-hidden': 'true', preserveAspectRatio: 'none' },
    svg(
      'linearGradient',
      { id },
      batlowStops().map(({ offset, colour }) => svg('stop', { offset, 'stop-color': colour })),
    ),
    svg('rect', { width: WIDTH, height: HEIGHT, fill: `url(#${id})`, rx: 1 }),
    ticks.map(({ at, severity }) =>
      svg('line', { x1: at * WIDTH, x2: at * WIDTH, y1: 0, y2: HEIGHT + 6, class: `tick ${severity}` }),
    ),
  );
  return el(
    'figure',
    { class: 'legend' },
    el('figcaption', {}, el('b', {}, measure.toUpperCase()), ` ${texts.joins[measure === 'g3' ? 'g3long' : measure]}`),
    ramp,
    el(
      'ol',
      { class: 'legend-limits' },
      named.length === 0
        ? el('li', {}, texts.legend.none)
        : named.map(({ severity, value }) =>
            el(
              'li',
              {},
              el('span', { class: `bar ${severity}`, 'aria-hidden': 'true' }),
              `${texts.severity[severity]} `,
              el('b', {}, quantity(value, record.unit)),
            ),
          ),
    ),
  );
}
