// The legend on the canvas: the joins' heat-map with the limits of the yardstick marked on it, and what hatching means.

import { el, replace, svg } from './dom.js';
import { filletLegend } from './fillet-legend.js';
import { formLegend } from './form-legend.js';
import { centreMap } from './form-range.js';
import { count, figure, unitName } from './format.js';
import { layoutLegend } from './layout-legend.js';
import { texts } from './texts.js';
import { zoneLegend } from './zone-legend.js';

const WIDTH = 216;
const HEIGHT = 12;

/**
 * Where the limits stand on the ramp: thirds, whatever their values; the renderer's rule (colour.rs) is the same.
 * A missing limit has no mark.
 */
const THIRDS = { polish: 1 / 3, fix: 2 / 3, serious: 1 };

/** The legend stands on the canvas while joins or surfaces are coloured or a face is hatched. */
export function mountLegend(root, store, scene) {
  store.watch(
    ({ work, review }) => [work.pass, work.model, work.limits, work.ramp, work.measure, ['form', 'centre'].includes(work.pass) && review.form, work.form, work.layout, work.fillets, work.rows.measure, work.centre, work.gaps, work.gapView.value, work.reference, work.referenceView, work.zoneView, work.zones, review.zones, trialJoins(work)],
    (state) => {
      const { work } = state;
      const own = {
        overview: () => zoneLegend(state),
        layout: () => layoutLegend(work),
        fillets: () => filletLegend(work),
        gaps: () => gapLegend(work),
        rows: () => legend(work.rows.measure, work),
        joins: () => legend(work.measure, work),
        trials: () => trialJoins(work) && legend(work.measure, work),
        centre: () => (centreMap(work) ? formLegend(state, scene.formColours) : legend(work.measure, work)),
        form: () => formLegend(state, scene.formColours),
        reference: () => formLegend(state, scene.formColours),
      }[work.pass];
      replace(root, work.model && [own?.(), hatching(work.model.summary)]);
    },
  );
}

/** True while joins of changed faces are coloured. */
const trialJoins = (work) => work.pass === 'trials' && work.tried?.lines?.[0].counts.length + work.tried?.lines?.[1].counts.length > 0;

/** Of the value that colours gaps; none before they are known. */
function gapLegend({ gaps, gapView: { value }, ramp: colours }) {
  const unit = texts.gaps.unit[value];
  return gaps?.between.length > 0 && legend(value, { limits: { [value]: { unit, limits: gaps.limits[value] } }, ramp: colours }, [texts.gaps.legend, ` ${texts.gaps.judged[value]}, ${unit}`]);
}

function legend(measure, { limits, ramp: colours }, title) {
  const record = limits?.[measure];
  const named = Object.entries(THIRDS)
    .map(([severity, at], i) => ({ severity, at, value: record?.limits[i] ?? null }));
  return el(
    'figure',
    { class: 'legend' },
    title
      ? el('figcaption', {}, el('b', {}, title[0]), title[1])
      : el('figcaption', {}, el('b', {}, texts.rows.letters[measure] ?? measure.toUpperCase()), ` ${texts.rows.captions[measure] ?? texts.joins[measure === 'g3' ? 'g3long' : measure]}`, record?.unit && `, ${unitName(record.unit)}`),
    ramp(measure, named, colours),
    el(
      'ol',
      { class: 'legend-limits' },
      named.every(({ value }) => value === null)
        ? el('li', { class: 'all' }, texts.legend.none)
        : named.map(({ severity, value }) =>
            el(
              'li',
              {},
              el('span', { class: `bar ${severity}`, 'aria-hidden': 'true' }),
              `${texts.severity[severity]} `,
              el('b', {}, value === null ? '–' : figure(value, record.unit)),
            ),
          ),
    ),
  );
}

function hatching({ import: { untrimmed } }) {
  return (
    untrimmed.length > 0 &&
    el(
      'p',
      { id: 'legend-hatched' },
      el('span', { class: 'hatched', 'aria-hidden': 'true' }),
      texts.legend.hatched(count(untrimmed.length)),
    )
  );
}

function ramp(measure, named, colours) {
  const id = `ramp-${measure}`;
  const inside = (at) => Math.min(at * WIDTH, WIDTH - 1);
  return svg(
    'svg',
    { class: 'ramp', viewBox: `0 0 ${WIDTH} ${HEIGHT + 6}`, 'aria-hidden': 'true', preserveAspectRatio: 'none' },
    svg(
      'linearGradient',
      { id },
      colours.map((colour, i) => svg('stop', { offset: i / (colours.length - 1), 'stop-color': colour })),
    ),
    svg('rect', { width: WIDTH, height: HEIGHT, fill: `url(#${id})` }),
    named.filter(({ value }) => value !== null).map(({ at }) => svg('line', { x1: inside(at), x2: inside(at), y1: 0, y2: HEIGHT + 6, class: 'tick' })),
  );
}
