// The drawer of the Fillets pass: a measure of the chosen fillet over the arc length of its spine, section by section.

import { choice, el, replace, svg } from './dom.js';
import { FILLET_MEASURES, FILLET_UNITS, chosenFillet, filletCurves, filletOf } from './fillets.js';
import { figure, number, quantity, unitName } from './format.js';
import { GRADED } from './limits.js';
import { ticks } from './plot.js';
import { texts } from './texts.js';

const words = texts.fillets;

/** Space around the plot, CSS pixels. */
const MARGIN = { left: 62, right: 130, top: 14, bottom: 26 };

/** Sections from which on their knobs are smaller: they would run into one thick line. */
const DENSE = 60;

export function mountFilletDrawer(root, store) {
  root.setAttribute('aria-label', words.drawer);
  const head = el('div', { class: 'trace-head' });
  const picture = svg('svg', { 'aria-hidden': 'true' });
  const walker = el('div', { id: 'fillet-plot', role: 'slider', tabindex: '0', 'aria-label': words.plot, 'aria-orientation': 'horizontal' }, picture);
  const say = el('output', { class: 'trace-station', for: 'fillet-plot' });
  const none = el('p', { class: 'quiet row-none' });
  replace(root, head, el('div', { class: 'trace-plot' }, walker, say, none));
  let map = null;

  const draw = () => {
    const { work } = store.state;
    const fillet = filletOf(work);
    const { width, height } = walker.getBoundingClientRect();
    if (!fillet || width < 1 || height < 1) return;
    const { measure } = work.filletView;
    picture.setAttribute('viewBox', `0 0 ${width} ${height}`);
    map = scale(fillet, measure, work.limits?.[measure]?.limits ?? [], width, height);
    none.textContent = map ? '' : words.without;
    picture.replaceChildren(...(map ? drawing(map) : []));
    walker.setAttribute('aria-valuemin', '1');
    walker.setAttribute('aria-valuemax', String(fillet.along.length));
    mark();
  };
  const mark = () => {
    const { work } = store.state;
    const fillet = filletOf(work);
    const { at, measure } = work.filletView;
    const shown = fillet && map && at !== null;
    const values = shown ? map.curves.map(({ name, values }) => [words.curves[measure]?.[name], values[at]]).filter(([, value]) => value !== null) : [];
    const text = shown ? words.at(quantity(fillet.along[at], 'mm'), values.map(([name, value]) => [name, quantity(value, map.unit)].filter(Boolean).join(' ')).join(', ') || '–') : '';
    say.textContent = text;
    walker.setAttribute('aria-valuenow', String((at ?? 0) + 1));
    walker.setAttribute('aria-valuetext', text);
    picture.querySelector('.station')?.remove();
    if (shown) picture.append(svg('line', { class: 'station shown', x1: map.x(fillet.along[at]), x2: map.x(fillet.along[at]), y1: MARGIN.top, y2: map.height - MARGIN.bottom }));
  };
  new ResizeObserver(draw).observe(walker);
  store.watch(
    ({ work }) => [work.pass, work.fillets, chosenFillet(work), work.filletView.measure],
    ({ work }) => {
      const fillet = filletOf(work);
      root.hidden = !fillet;
      if (!fillet) return;
      const { measure } = work.filletView;
      const options = FILLET_MEASURES.map((name) => ({ id: `fillet-measure-${name}`, value: name, label: words.measures[name], title: words.said[name] }));
      replace(
        head,
        el('h2', {}, words.name(chosenFillet(work) + 1)),
        choice(words.measure, options, measure, (to) => store.dispatch({ type: 'set-fillet-view', view: { measure: to } })),
        el('p', { class: 'trace-say' }, words.said[measure]),
        el('button', { type: 'button', id: 'fillet-close', on: { click: () => store.dispatch({ type: 'choose-fillet', index: null }) } }, words.close),
      );
    },
  );
  store.watch(({ work }) => [filletOf(work), work.filletView.measure, work.limits, work.pass], draw);
  store.watch(({ work }) => [work.filletView.at], mark);

  const go = (at) => {
    const fillet = filletOf(store.state.work);
    const to = at === null || !fillet ? null : Math.min(fillet.along.length - 1, Math.max(0, at));
    if (to !== store.state.work.filletView.at) store.dispatch({ type: 'set-fillet-view', view: { at: to } });
  };
  const point = (event) => map && go(nearest(map.along, map.s(event.clientX - walker.getBoundingClientRect().left)));
  walker.addEventListener('pointermove', point);
  walker.addEventListener('pointerdown', point);
  walker.addEventListener('pointerleave', () => document.activeElement !== walker && go(null));
  walker.addEventListener('blur', () => go(null));
  walker.addEventListener('keydown', (event) => {
    if (!map || event.ctrlKey || event.metaKey || event.altKey) return;
    const at = store.state.work.filletView.at;
    const last = map.along.length - 1;
    const to = { ArrowRight: (at ?? -1) + 1, ArrowUp: (at ?? -1) + 1, ArrowLeft: (at ?? last + 1) - 1, ArrowDown: (at ?? last + 1) - 1, Home: 0, End: last }[event.key];
    if (to === undefined) return;
    event.preventDefault();
    go(to);
  });
}

/** Index of the value nearest to `s`. */
function nearest(along, s) {
  return along.reduce((best, x, i) => (Math.abs(x - s) < Math.abs(along[best] - s) ? i : best), 0);
}

/** How values and arc lengths become pixels; null where no section has a value. */
function scale(fillet, measure, limits, width, height) {
  const curves = filletCurves(fillet, measure);
  const values = curves.flatMap((curve) => curve.values).filter(Number.isFinite);
  if (values.length === 0) return null;
  // The limit that is passed first stays in sight even when every value is far beyond it.
  const first = limits.find(Number.isFinite) ?? 0;
  const high = Math.max(...values, first) * 1.12 || 1;
  const length = fillet.along.at(-1) || 1;
  const inner = { width: width - MARGIN.left - MARGIN.right, height: height - MARGIN.top - MARGIN.bottom };
  return {
    curves,
    measure,
    limits,
    width,
    height,
    high,
    length,
    along: fillet.along,
    unit: FILLET_UNITS[measure],
    x: (s) => MARGIN.left + (s / length) * inner.width,
    y: (value) => MARGIN.top + (1 - value / high) * inner.height,
    s: (x) => ((x - MARGIN.left) / inner.width) * length,
  };
}

const text = (x, y, said, name, anchor = 'start') => svg('text', { x, y, class: name, 'text-anchor': anchor }, said);

function drawing(map) {
  const [right, bottom] = [map.width - MARGIN.right, map.height - MARGIN.bottom];
  const parts = [];
  for (const value of ticks(0, map.high, Math.min(4, Math.max(1, Math.floor((bottom - MARGIN.top) / 24))))) {
    parts.push(svg('line', { class: value === 0 ? 'grid zero' : 'grid', x1: MARGIN.left, x2: right, y1: map.y(value), y2: map.y(value) }));
    parts.push(text(MARGIN.left - 8, map.y(value) + 4, figure(value, map.unit), 'axis', 'end'));
  }
  for (const s of ticks(0, map.length, Math.max(2, Math.floor((right - MARGIN.left) / 90)))) parts.push(text(map.x(s), bottom + 17, number(s), 'axis', 'middle'));
  parts.push(text(right + 8, bottom + 17, 'mm', 'axis'), text(MARGIN.left - 8, bottom + 17, unitName(map.unit), 'axis', 'end'));
  const beside = [];
  map.limits.forEach((limit, k) => {
    if (!Number.isFinite(limit) || limit > map.high) return;
    parts.push(svg('line', { class: `limit ${GRADED[k]}`, x1: MARGIN.left, x2: right, y1: map.y(limit), y2: map.y(limit) }));
    beside.push({ name: 'axis', said: `${texts.severity[GRADED[k]]} ${quantity(limit, map.unit)}`, y: map.y(limit) + 4 });
  });
  for (const { name, values } of map.curves) {
    parts.push(...pieces(map, values).map((points) => svg('polyline', { class: `curve ${name}`, points })));
    values.forEach((value, i) => value !== null && parts.push(svg('circle', { class: `knob ${name}`, cx: map.x(map.along[i]), cy: map.y(value), r: map.along.length > DENSE ? 1.25 : 2.5, data: { at: String(i), value: String(value) } })));
    const last = values.findLast(Number.isFinite);
    const said = words.curves[map.measure]?.[name];
    if (said && last !== undefined) beside.push({ name: `side-name ${name}`, said, y: map.y(last) + 4 });
  }
  // Names that lie close together are pushed apart.
  beside.sort((a, b) => a.y - b.y);
  let above = -Infinity;
  for (const one of beside) above = one.y = Math.max(one.y, above + 14);
  const over = Math.max(0, above - bottom);
  parts.push(...beside.map(({ name, said, y }) => text(right + 8, y - over, said, name)));
  return parts;
}

/** Runs of sections that have a value, as points of polylines. */
function pieces(map, values) {
  const runs = [[]];
  values.forEach((value, i) => {
    if (Number.isFinite(value)) runs.at(-1).push(`${map.x(map.along[i]).toFixed(1)},${map.y(value).toFixed(1)}`);
    else if (runs.at(-1).length > 0) runs.push([]);
  });
  return runs.filter((run) => run.length > 1).map((run) => run.join(' '));
}
