// The legend of the colours by form: the map with its ends, what signs and hatching mean, and the isolines' step.

import { el, svg } from './dom.js';
import { FORM_UNIT, SAMPLED, isSigned, shownForm, shownRange, shownStep } from './form-range.js';
import { number, quantity, unitName } from './format.js';
import { texts } from './texts.js';

const words = texts.form;

const WIDTH = 216;
const HEIGHT = 12;

/** `colours(view)`: the map as CSS colours. */
export function formLegend(state, colours) {
  const { work } = state;
  const form = shownForm(state);
  if (form.view === 'none') return null;
  if (form.view === 'face') return el('figure', { class: 'legend' }, el('figcaption', {}, el('b', {}, words.views.face)), el('p', { class: 'quiet' }, words.faceLegend));
  const range = shownRange(form, work.form);
  const unit = FORM_UNIT[form.view];
  const caption = el('figcaption', {}, el('b', {}, words.views[form.view]), `, ${unitName(unit)}`);
  if (!range) return el('figure', { class: 'legend' }, caption, el('p', { class: 'quiet' }, work.form?.ranges[form.view] ? words.noValues : words.waiting));
  const [low, high] = range;
  const signed = isSigned(form.view);
  const middle = signed ? 0 : low > 0 ? Math.sqrt(low * high) : high / 2;
  return el(
    'figure',
    { class: 'legend' },
    caption,
    ramp(form.view, colours(form.view)),
    el('ol', { class: 'legend-ends' }, [low, middle, high].map((value) => el('li', {}, number(value)))),
    signed && SAMPLED.includes(form.view) && el('p', { class: 'legend-signs' }, el('span', {}, words.back), el('span', {}, words.proud)),
    signed && form.view !== 'gaussian' && !SAMPLED.includes(form.view) && el('p', { class: 'legend-signs' }, el('span', {}, words.hollow), el('span', {}, words.convex)),
    form.view === 'gaussian' && el('p', { class: 'legend-signs' }, el('span', {}, words.saddle), el('span', {}, words.dome)),
    form.view === 'radius' &&
      form.limit > 0 && [
        el('p', {}, el('span', { class: 'hatched convex', 'aria-hidden': 'true' }), words.belowConvex(quantity(form.limit, 'mm'))),
        el('p', {}, el('span', { class: 'hatched hollow', 'aria-hidden': 'true' }), words.belowHollow(quantity(form.limit, 'mm'))),
      ],
    form.lines && el('p', { class: 'legend-step' }, form.view === 'radius' ? words.doubling : words.each(quantity(shownStep(form, range), unit))),
    form.view !== 'tilt' && el('p', { class: 'quiet' }, form.swapped ? words.sideSwapped : words.side),
  );
}

function ramp(view, colours) {
  const id = `ramp-${view}`;
  return svg(
    'svg',
    { class: 'ramp', viewBox: `0 0 ${WIDTH} ${HEIGHT + 6}`, 'aria-hidden': 'true', preserveAspectRatio: 'none' },
    svg(
      'linearGradient',
      { id },
      colours.map((colour, i) => svg('stop', { offset: i / (colours.length - 1), 'stop-color': colour })),
    ),
    svg('rect', { width: WIDTH, height: HEIGHT, fill: `url(#${id})` }),
    [0.5, WIDTH / 2, WIDTH - 0.5].map((x) => svg('line', { x1: x, x2: x, y1: 0, y2: HEIGHT + 6, class: 'tick' })),
  );
}
