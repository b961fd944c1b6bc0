// The histogram of distances to the reference: by area, zero and the limits as lines.

import { el, svg } from './dom.js';
import { quantity } from './format.js';
import { texts } from './texts.js';

const words = texts.reference;

const WIDTH = 216;
const HEIGHT = 72;

/** `distances`: of the record. Bars that lie beyond the first limit are hatched: colour alone tells nothing. */
export function referenceBars({ bars, within }) {
  const low = bars[0].from;
  const high = bars.at(-1).to;
  const mm = (x) => quantity(x, 'mm');
  const x = (value) => ((value - low) / (high - low || 1)) * WIDTH;
  const most = Math.max(...bars.map(({ share }) => share));
  const limit = within[0]?.limit ?? Infinity;
  const zero = low <= 0 && high >= 0;
  const shown = within.flatMap((one) => [-one.limit, one.limit]).filter((value) => value > low && value < high);
  const bar = ({ from, to, share }) => {
    const height = most > 0 ? (share / most) * (HEIGHT - 4) : 0;
    const odd = from >= limit || to <= -limit;
    return svg('rect', { x: x(from), y: HEIGHT - height, width: Math.max(bars.length === 1 ? WIDTH : 0.5, x(to) - x(from) - 0.5), height, class: odd ? 'bar-beyond' : 'bar-within' });
  };
  return el(
    'figure',
    { class: 'reference-bars', id: 'reference-bars' },
    svg(
      'svg',
      { viewBox: `0 0 ${WIDTH} ${HEIGHT}`, role: 'img', 'aria-label': words.bars(mm(low), mm(high)), preserveAspectRatio: 'none' },
      svg(
        'pattern',
        { id: 'bar-hatch', width: 4, height: 4, patternUnits: 'userSpaceOnUse', patternTransform: 'rotate(45)' },
        svg('rect', { width: 4, height: 4, class: 'hatch-ground' }),
        svg('line', { x1: 0, x2: 0, y1: 0, y2: 4, class: 'hatch-line' }),
      ),
      bars.map(bar),
      shown.map((value) => svg('line', { x1: x(value), x2: x(value), y1: 0, y2: HEIGHT, class: 'bar-limit' })),
      zero && svg('line', { x1: x(0), x2: x(0), y1: 0, y2: HEIGHT, class: 'bar-zero' }),
    ),
    el('div', { class: 'bar-ends' }, el('span', {}, mm(low)), el('span', {}, mm(high))),
  );
}
