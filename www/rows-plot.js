// The trace of a control row: its evenness or its shares leg by leg, or its turns point by point. One leg or point is under the pointer or
// the arrow keys, and is marked on the model.

import { el, replace, svg } from './dom.js';
import { figure, number, quantity, unitName } from './format.js';
import { GRADED } from './limits.js';
import { ticks } from './plot.js';
import { rowLimits, rowOf, rowsOf } from './rows.js';
import { texts } from './texts.js';

const words = texts.rows;

/** Space around the plot, CSS pixels. */
const MARGIN = { left: 56, right: 124, top: 14, bottom: 24 };

export function mountRowPlot(root, store) {
  const say = el('p', { class: 'row-say' });
  const picture = svg('svg', { 'aria-hidden': 'true' });
  const walker = el('div', { id: 'row-plot', role: 'slider', tabindex: '0', 'aria-label': words.views.trace, 'aria-orientation': 'horizontal', 'aria-describedby': 'row-hint' }, picture);
  const told = el('output', { class: 'trace-station', for: 'row-plot' });
  const none = el('p', { class: 'quiet row-none' });
  replace(root, say, el('div', { class: 'trace-plot' }, walker, told, none), el('p', { id: 'row-hint', class: 'spoken' }, words.hintPlot));
  let map = null;

  const draw = () => {
    const { work } = store.state;
    const row = rowOf(work);
    const { width, height } = walker.getBoundingClientRect();
    if (!row || width < 1 || height < 1) return;
    picture.setAttribute('viewBox', `0 0 ${width} ${height}`);
    const { measure, along, index } = work.rows;
    Object.assign(walker.dataset, { along, index: String(index) });
    map = row[measure] === null ? null : scale(lists(work, row), measure, rowLimits(work, measure), width, height);
    none.textContent = map ? '' : words.none[measure];
    replace(say, map && [el('b', {}, `${words.letters[measure]} ${number(row[measure])}`), el('span', { class: 'row-what' }, words.said[measure])]);
    picture.replaceChildren(...(map ? drawing(map, row, measure) : []));
    walker.setAttribute('aria-valuemin', '1');
    walker.setAttribute('aria-valuemax', String(map ? map.last + 1 : 1));
    mark();
  };
  const mark = () => {
    const { work } = store.state;
    const { at } = work.rows;
    const text = map && at !== null && rowOf(work) ? reading(rowOf(work), work, at) : '';
    told.textContent = text;
    walker.setAttribute('aria-valuenow', String((at ?? 0) + 1));
    walker.setAttribute('aria-valuetext', text);
    for (const node of picture.querySelectorAll('[data-at]')) node.classList.toggle('here', Number(node.dataset.at) === at);
  };
  new ResizeObserver(draw).observe(walker);
  store.watch(({ work }) => [rowOf(work), work.rows.measure, work.rows.view, work.rows.folded, work.limits, work.pass], draw);
  store.watch(({ work }) => [work.rows.at], mark);

  const go = (at) => {
    const to = at === null || !map ? null : Math.min(map.last, Math.max(map.first, at));
    if (to !== store.state.work.rows.at) store.dispatch({ type: 'set-rows', rows: { at: to } });
  };
  const point = (event) => map && go(Math.round(map.index(event.clientX - walker.getBoundingClientRect().left)));
  walker.addEventListener('pointermove', point);
  walker.addEventListener('pointerdown', point);
  walker.addEventListener('pointerleave', () => document.activeElement !== walker && go(null));
  walker.addEventListener('blur', () => go(null));
  walker.addEventListener('keydown', (event) => {
    if (!map || event.ctrlKey || event.metaKey || event.altKey) return;
    const at = store.state.work.rows.at;
    const to = { ArrowRight: (at ?? map.first - 1) + 1, ArrowUp: (at ?? map.first - 1) + 1, ArrowLeft: (at ?? map.last + 1) - 1, ArrowDown: (at ?? map.last + 1) - 1, Home: map.first, End: map.last }[event.key];
    if (to === undefined) return;
    event.preventDefault();
    go(to);
  });
}

/** What is plotted: curves of [place, value], each with a class and a name. */
function lists(work, row) {
  const { measure, along, index } = work.rows;
  const known = (list, from = 0) => list.map((value, i) => [i + from, value]).filter(([, value]) => value !== null);
  if (measure === 'evenness') return [{ name: 'stems', at: known(row.bends) }];
  if (measure === 'turning') return [{ name: 'side-a', said: words.tangent, at: known(row.turns[0], 1), rings: row.back[0] }, { name: 'side-b', said: words.normal, at: known(row.turns[1], 1), rings: row.back[1] }];
  const rows = rowsOf(work)[along];
  const beside = [{ name: 'side-a', said: words.rowBefore, row: rows[index - 1] }, { name: 'side-b', said: words.rowAfter, row: rows[index + 1] }];
  return [...beside.filter((one) => one.row).map((one) => ({ ...one, at: known(one.row.shares) })), { name: 'own', said: words.own, at: known(row.shares) }];
}

function scale(curves, measure, limits, width, height) {
  const all = curves.flatMap(({ at }) => at);
  if (all.length === 0) return null;
  const values = all.map(([, value]) => value);
  // The lowest limit stays in sight even when every value is far below it.
  const least = measure === 'evenness' ? (limits.find(Number.isFinite) ?? 0) * 1.25 : 0;
  const most = Math.max(...values.map(Math.abs), least) * 1.12 || 1;
  const signed = measure !== 'agreement';
  const [low, high] = [signed ? -most : 0, most];
  const places = all.map(([place]) => place);
  const [first, last] = [Math.min(...places), Math.max(...places)];
  // Evenness has no value at the end legs, which have their places all the same.
  const [from, to] = measure === 'evenness' ? [first - 1, last + 1] : [first, last];
  const inner = { width: width - MARGIN.left - MARGIN.right, height: height - MARGIN.top - MARGIN.bottom };
  const share = (i) => (i - from + 0.5) / (to - from + 1);
  return {
    curves,
    measure,
    limits: measure === 'evenness' ? limits : [],
    width,
    height,
    low,
    high,
    first,
    last,
    from,
    to,
    x: (i) => MARGIN.left + share(i) * inner.width,
    y: (value) => MARGIN.top + (1 - (value - low) / (high - low)) * inner.height,
    index: (x) => ((x - MARGIN.left) / inner.width) * (to - from + 1) + from - 0.5,
  };
}

const text = (x, y, said, name, anchor = 'start') => svg('text', { x, y, class: name, 'text-anchor': anchor }, said);

function drawing(map, row, measure) {
  const [right, bottom] = [map.width - MARGIN.right, map.height - MARGIN.bottom];
  const unit = { evenness: '', agreement: 'share', turning: 'deg' }[measure];
  const parts = [];
  for (const value of ticks(map.low, map.high, Math.min(5, Math.max(2, Math.floor((bottom - MARGIN.top) / 26))))) {
    parts.push(svg('line', { class: value === 0 ? 'grid zero' : 'grid', x1: MARGIN.left, x2: right, y1: map.y(value), y2: map.y(value) }));
    parts.push(text(MARGIN.left - 8, map.y(value) + 4, figure(value, unit), 'axis', 'end'));
  }
  const each = Math.max(1, Math.ceil((map.to - map.from + 1) / Math.max(2, (right - MARGIN.left) / 28)));
  for (let i = map.from; i <= map.to; i += each) parts.push(text(map.x(i), bottom + 16, String(i + 1), 'axis', 'middle'));
  parts.push(text(right + 8, bottom + 16, measure === 'turning' ? words.points : words.legs, 'axis'), text(MARGIN.left - 8, bottom + 16, unitName(unit), 'axis', 'end'));
  const beside = [];
  map.limits.forEach((limit, k) => {
    if (!Number.isFinite(limit) || limit > map.high) return;
    for (const sign of [1, -1]) parts.push(svg('line', { class: `limit ${GRADED[k]}`, x1: MARGIN.left, x2: right, y1: map.y(sign * limit), y2: map.y(sign * limit) }));
    beside.push({ y: map.y(limit) + 4, said: `${texts.severity[GRADED[k]]} ${number(limit)}` });
  });
  if (measure === 'evenness') beside.push({ y: map.y(0) - 4, said: words.short }, { y: map.y(0) + 13, said: words.long });
  // Where there is no room the words further down are left out.
  let taken = [bottom + 16];
  for (const { y, said } of beside) {
    if (taken.some((other) => Math.abs(other - y) < 13)) continue;
    taken = [...taken, y];
    parts.push(text(right + 8, y, said, 'axis'));
  }
  const names = [];
  for (const { name, said, at, rings = [] } of map.curves) {
    if (name === 'stems') at.forEach(([i, value]) => parts.push(svg('line', { class: 'stem', x1: map.x(i), x2: map.x(i), y1: map.y(0), y2: map.y(value) })));
    else parts.push(svg('polyline', { class: `curve ${name}`, points: at.map(([i, value]) => `${map.x(i).toFixed(1)},${map.y(value).toFixed(1)}`).join(' ') }));
    for (const [i, value] of at) {
      const data = measure === 'turning' ? { point: String(i), plan: String(row.turns[0][i - 1]), profile: String(row.turns[1][i - 1]) } : { leg: String(i), value: String(value) };
      parts.push(svg('circle', { class: `knob ${name}`, cx: map.x(i), cy: map.y(value), r: 4, data: { at: String(i), ...data } }));
      if (rings.includes(i)) parts.push(svg('circle', { class: 'most', cx: map.x(i), cy: map.y(value), r: 8 }));
    }
    if (said) names.push({ name, said, y: map.y(at.at(-1)[1]) });
  }
  names.sort((a, b) => a.y - b.y);
  let above = -Infinity;
  for (const one of names) above = one.y = Math.max(one.y + 4, above + 14);
  const over = Math.max(0, above - bottom);
  parts.push(...names.map(({ name, said, y }) => text(right + 8, y - over, said, `side-name ${name}`)));
  if (measure === 'evenness') parts.push(...largest(map));
  return parts;
}

/** The ring about the largest, with its value. */
function largest(map) {
  const [i, value] = map.curves[0].at.reduce((a, b) => (Math.abs(b[1]) > Math.abs(a[1]) ? b : a));
  return [svg('circle', { class: 'most', cx: map.x(i), cy: map.y(value), r: 8 }), text(map.x(i) + 12, map.y(value) + (value < 0 ? 2 : 8), number(value), 'most-name')];
}

function reading(row, work, at) {
  const { measure, along, index } = work.rows;
  if (measure === 'turning') return words.point(at, words.turnsAt(quantity(row.turns[0][at - 1], 'deg'), quantity(row.turns[1][at - 1], 'deg')));
  const length = quantity(row.legs[at], 'mm');
  if (measure === 'evenness') return words.leg(at, length, row.bends[at] === null ? '' : `${number(row.bends[at])} ${row.bends[at] > 0 ? words.short : words.long}`);
  const rows = rowsOf(work)[along];
  const share = (one) => one && quantity(one.shares[at], 'share');
  return words.leg(at, length, words.shares(share(row), share(rows[index - 1]), share(rows[index + 1])));
}
