// The plot of both sides of a join: curvature, or its slope, on the first and on the second face, and their difference.

import { svg } from './dom.js';
import { number, unitName } from './format.js';
import { texts } from './texts.js';

const words = texts.trace;

/** Strokes of the three curves: colour never stands alone, so each has a dash of its own and its letter beside its end. */
const CURVES = ['a', 'b', 'difference'];
const NAMES = { a: 'A', b: 'B', difference: words.difference };

/** How values and arc lengths become pixels; null where neither side has a value. `margin`: space around the plot. */
export function sidesMap(trace, measure, width, height, margin) {
  const record = trace.sides?.[measure];
  if (!record) return null;
  const { a, b, unit } = record;
  const both = (i) => Number.isFinite(a[i]) && Number.isFinite(b[i]);
  const difference = a.map((x, i) => (both(i) ? x - b[i] : null));
  const curves = { a, b, difference };
  const finite = Object.values(curves).flat().filter(Number.isFinite);
  if (finite.length === 0) return null;
  const [least, most] = [Math.min(0, ...finite), Math.max(0, ...finite)];
  const room = (most - least) * 0.08 || 1;
  const [low, high] = [least - room, most + room];
  const length = trace.length || trace.s[trace.s.length - 1] || 1;
  const inner = { width: width - margin.left - margin.right, height: height - margin.top - margin.bottom };
  const largest = difference.reduce((best, x, i) => (Math.abs(x ?? 0) > Math.abs(difference[best] ?? 0) ? i : best), 0);
  return {
    unit,
    curves,
    values: difference,
    at: largest,
    width,
    height,
    low,
    high,
    ceiling: high,
    length,
    x: (s) => margin.left + (s / length) * inner.width,
    y: (value) => margin.top + (1 - (value - low) / (high - low)) * inner.height,
    s: (x) => ((x - margin.left) / inner.width) * length,
    said: (i) => words.sidesAt(number(a[i]), number(b[i]), number(difference[i]), unitName(unit)),
  };
}

/** The curves with their names at the right. `curve(s, values, map)`: the path of a curve; `ticks(low, high, n)`. */
export function sidesDrawing(trace, map, margin, curve, ticks) {
  const right = map.width - margin.right;
  const bottom = map.height - margin.bottom;
  const room = Math.max(1, Math.floor((bottom - margin.top) / 24));
  const parts = [];
  for (const value of ticks(map.low, map.high, Math.min(5, room))) {
    parts.push(svg('line', { class: value === 0 ? 'grid zero' : 'grid', x1: margin.left, x2: right, y1: map.y(value), y2: map.y(value) }));
    parts.push(svg('text', { x: margin.left - 8, y: map.y(value) + 4, class: 'axis', 'text-anchor': 'end' }, number(value)));
  }
  const ends = CURVES.map((name) => {
    const values = map.curves[name];
    const last = values.findLast(Number.isFinite);
    return { name, y: last === undefined ? bottom : map.y(last) };
  }).sort((p, q) => p.y - q.y);
  // Names that would lie on each other are pushed downwards, and all of them up again where they would leave the plot.
  let above = -Infinity;
  for (const end of ends) above = end.y = Math.max(end.y + 4, above + 13);
  const over = Math.max(0, above - bottom);
  for (const { name, y } of ends) {
    parts.push(svg('path', { class: `curve side-${name}`, d: curve(trace.s, map.curves[name], map) }));
    parts.push(svg('text', { x: right + 8, y: y - over, class: `side-name side-name-${name}` }, NAMES[name]));
  }
  return parts;
}
