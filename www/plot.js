// The plot of a measure along a join: value over arc length, limits drawn (plot-limits.js), largest value ringed, one station
// under the pointer or the arrow keys. The station is linked to the model by the store.

import { el, replace, svg } from './dom.js';
import { figure, number, quantity, unitName } from './format.js';
import { shownLimits } from './limits.js';
import { limitLines, mountGrips } from './plot-limits.js';
import { sidesDrawing, sidesMap } from './plot-sides.js';
import { texts } from './texts.js';
import { shownTrace, traceParts } from './trials.js';

const words = texts.trace;

/** Space around the plot for axis words, CSS pixels; at the top, for the words of the largest value. */
const MARGIN = { left: 66, right: 118, top: 24, bottom: 30 };

export function mountPlot(root, store) {
  const picture = svg('svg', { 'aria-hidden': 'true' });
  const cursor = svg('line', { class: 'station' });
  const dot = svg('circle', { class: 'station', r: 4 });
  const walker = el('div', {
    id: 'trace-plot',
    role: 'slider',
    tabindex: '0',
    'aria-label': words.label,
    'aria-describedby': 'trace-hint',
    'aria-orientation': 'horizontal',
  });
  const say = el('output', { class: 'trace-station', for: 'trace-plot' });
  walker.append(picture);
  let held = null; // top of the scale while a limit is dragged
  const grips = mountGrips(
    store,
    () => map,
    (on) => {
      held = on && map ? map.ceiling : null;
      draw();
    },
  );
  replace(root, walker, grips.root, say, el('p', { id: 'trace-hint', class: 'spoken' }, words.plotHint));
  let map = null;

  const draw = () => {
    const { work } = store.state;
    const { trace, other } = shownTrace(work);
    if (!trace || root.hidden) return;
    const { width, height } = walker.getBoundingClientRect();
    if (width < 1 || height < 1) return;
    picture.setAttribute('viewBox', `0 0 ${width} ${height}`);
    const limits = shownLimits(store.state, work.measure)?.limits ?? [];
    const both = work.traceSides ? sidesMap(trace, work.measure, width, height, MARGIN) : null;
    map = both ?? scale(trace, other, work.measure, limits, held, width, height);
    const parts = both ? sidesDrawing(trace, both, MARGIN, path, ticks) : map ? drawing(trace, other, work.measure, map, limits) : [];
    picture.replaceChildren(...parts, ...(map ? frame(map) : []), cursor, dot);
    grips.place(both ? null : map, limits, MARGIN.left, width - MARGIN.right);
    walker.setAttribute('aria-valuemin', '0');
    walker.setAttribute('aria-valuemax', String(Math.max(0, trace.s.length - 1)));
    station();
  };

  const station = () => {
    const { work } = store.state;
    const { trace } = shownTrace(work);
    const i = work.station;
    const shown = map !== null && i !== null && trace !== null && Number.isFinite(map.values[i]);
    for (const node of [cursor, dot]) node.classList.toggle('shown', shown);
    walker.setAttribute('aria-valuenow', String(i ?? 0));
    if (!shown) {
      say.textContent = '';
      return;
    }
    const x = map.x(trace.s[i]);
    const y = map.y(map.values[i]);
    for (const [name, value] of Object.entries({ x1: x, x2: x, y1: MARGIN.top, y2: map.height - MARGIN.bottom })) cursor.setAttribute(name, value);
    dot.setAttribute('cx', x);
    dot.setAttribute('cy', y);
    const text = words.at(`${trace.s[i].toFixed(2)} mm`, map.said?.(i) ?? quantity(map.values[i], map.unit));
    say.textContent = text;
    walker.setAttribute('aria-valuetext', text);
  };

  new ResizeObserver(draw).observe(walker);
  store.watch(({ work, review }) => [...traceParts(work), work.traceTable, work.traceSides, work.measure, work.limits, review.limits, review.yardstick], draw);
  store.watch(({ work }) => [work.station], station);

  const go = (i) => {
    const last = shownTrace(store.state.work).trace.s.length - 1;
    store.dispatch({ type: 'station', station: i === null ? null : Math.min(last, Math.max(0, i)) });
  };
  const point = (event) => {
    const { trace } = shownTrace(store.state.work);
    if (!map || !trace) return;
    const at = event.clientX - walker.getBoundingClientRect().left;
    go(nearest(trace.s, map.s(at)));
  };
  walker.addEventListener('pointermove', point);
  walker.addEventListener('pointerdown', point);
  walker.addEventListener('pointerleave', () => {
    if (document.activeElement !== walker) go(null);
  });
  walker.addEventListener('blur', () => shownTrace(store.state.work).trace && go(null));
  walker.addEventListener('keydown', (event) => {
    const { work } = store.state;
    const { trace } = shownTrace(work);
    if (!trace || !map) return;
    const i = work.station ?? -1;
    const last = trace.s.length - 1;
    const to = {
      ArrowRight: i + 1,
      ArrowUp: i + 1,
      ArrowLeft: i < 0 ? last : i - 1,
      ArrowDown: i < 0 ? last : i - 1,
      PageUp: i + 10,
      PageDown: i - 10,
      Home: 0,
      End: last,
      m: map.at,
      M: map.at,
    }[event.key];
    if (to === undefined || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    go(to);
  });
}

/** How values and arc lengths become pixels; null when the measure has no value anywhere. `other`: a trace drawn beside it, or null; `held`: top of the scale, or null. */
function scale(trace, other, measure, limits, held, width, height) {
  const record = trace.measures[measure];
  if (!record || !record.values.some(Number.isFinite)) return null;
  const finite = record.values.filter(Number.isFinite);
  const most = Math.max(...finite);
  const highest = Math.max(most, ...(other?.measures[measure]?.values ?? []).filter(Number.isFinite));
  // The lowest limit stays in sight even when every value is far below it; the others only when values come near.
  const ceiling = held ?? (Math.max(highest * 1.12, (limits.find(Number.isFinite) ?? 0) * 1.3) || 1);
  const length = Math.max(trace.length || trace.s[trace.s.length - 1] || 1, other?.length ?? 0);
  const inner = { width: width - MARGIN.left - MARGIN.right, height: height - MARGIN.top - MARGIN.bottom };
  return {
    ...record,
    width,
    height,
    ceiling,
    length,
    at: Number.isFinite(record.max_at) ? nearest(trace.s, record.max_at) : record.values.indexOf(most),
    most,
    x: (s) => MARGIN.left + (s / length) * inner.width,
    y: (value) => MARGIN.top + (1 - value / ceiling) * inner.height,
    value: (y) => Math.max(0, (1 - (y - MARGIN.top) / inner.height) * ceiling),
    s: (x) => ((x - MARGIN.left) / inner.width) * length,
  };
}

function drawing(trace, other, measure, map, limits) {
  const right = map.width - MARGIN.right;
  const bottom = map.height - MARGIN.bottom;
  const parts = [];
  const room = Math.floor((bottom - MARGIN.top) / 22);
  for (const value of ticks(0, map.ceiling, Math.min(4, Math.max(1, room)))) {
    parts.push(svg('line', { class: 'grid', x1: MARGIN.left, x2: right, y1: map.y(value), y2: map.y(value) }));
    parts.push(text(MARGIN.left - 8, map.y(value) + 4, figure(value, map.unit), 'axis', 'end'));
  }
  parts.push(...limitLines(map, limits, MARGIN.left, right, bottom));
  // The imported join's under the trial's, and dashed.
  const before = other?.measures[measure]?.values;
  if (before) parts.push(svg('path', { class: 'curve before', d: path(other.s, before, map) }));
  parts.push(svg('path', { class: 'curve', d: path(trace.s, map.values, map) }));
  const x = map.x(trace.s[map.at]);
  const y = map.y(map.values[map.at] ?? map.most);
  parts.push(svg('circle', { class: 'most', cx: x, cy: y, r: 6 }));
  const left = x > (MARGIN.left + right) / 2;
  // Beside the ring and above it: no part of the curve is higher.
  parts.push(text(x + (left ? -9 : 9), y - 8, quantity(map.values[map.at] ?? map.most, map.unit), 'most-name', left ? 'end' : 'start'));
  return parts;
}

const text = (x, y, words, name, anchor = 'start') => svg('text', { x, y, class: name, 'text-anchor': anchor }, words);

/** The axis of arc length, and the units. */
function frame(map) {
  const right = map.width - MARGIN.right;
  const bottom = map.height - MARGIN.bottom;
  const along = ticks(0, map.length, Math.max(2, Math.floor((right - MARGIN.left) / 90)));
  return [
    ...along.flatMap((s) => [
      svg('line', { class: 'grid', x1: map.x(s), x2: map.x(s), y1: bottom, y2: bottom + 4 }),
      text(map.x(s), bottom + 17, number(s), 'axis', 'middle'),
    ]),
    text(right + 8, bottom + 17, 'mm', 'axis'),
    text(MARGIN.left - 20, bottom + 17, unitName(map.unit), 'axis', 'end'),
  ];
}

/** A curve; stations without a value break it. */
function path(s, values, map) {
  let pen = false;
  return s
    .map((along, i) => {
      const value = values[i];
      if (!Number.isFinite(value)) {
        pen = false;
        return '';
      }
      const part = `${pen ? 'L' : 'M'}${map.x(along).toFixed(2)} ${map.y(value).toFixed(2)}`;
      pen = true;
      return part;
    })
    .join('');
}

/** Round values from `low` to `top`, about `wanted` of them. */
export function ticks(low, top, wanted) {
  const rough = (top - low) / wanted;
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = [1, 2, 5, 10].map((m) => m * power).find((one) => one >= rough) ?? 10 * power;
  const values = [];
  for (let i = Math.ceil(low / step - 1e-9); i * step <= top + 1e-9 * step; i += 1) values.push(i * step);
  return values;
}

/** Index of the station nearest to arc length `s`; stations rise. */
function nearest(stations, s) {
  let low = 0;
  let high = stations.length - 1;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (stations[middle] <= s) low = middle;
    else high = middle;
  }
  return Math.abs(stations[low] - s) <= Math.abs(stations[high] - s) ? low : high;
}
