// Plan and profile of a control row over its chord, magnified across. Both planes have one scale along and one across, so that they can
// be held against each other; across is never squeezed: where it would leave the drawing, the row is drawn shorter.

import { el, replace, svg } from './dom.js';
import { number, quantity } from './format.js';
import { rowOf } from './rows.js';
import { slide, POWERS } from './slide.js';
import { texts } from './texts.js';

const words = texts.rows;

/** Magnifications across: from none to the most that control points of a body's scale need (measures.md asks for 1 to 50). */
const [LEAST, MOST] = [1, 50];

const MARGIN = { left: 64, right: 84, top: 20, bottom: 22, between: 26 };

export function mountRowProfile(root, store) {
  const set = (magnify) => store.dispatch({ type: 'set-rows', rows: { magnify } });
  const run = { min: Math.log10(LEAST), max: Math.log10(MOST), step: 0.01, ...POWERS };
  const slider = slide({ id: 'row-magnify', label: words.magnify, run, said: words.magnified, set });
  const fit = el('button', { type: 'button', id: 'row-fit', on: { click: () => set(null) } }, words.fit);
  const bar = el('div', { class: 'row-bar' }, slider.row, fit);
  const picture = svg('svg', { role: 'img' });
  const paper = el('div', { id: 'row-profile' }, picture);
  const none = el('p', { class: 'quiet row-none' });
  replace(root, bar, el('div', { class: 'trace-plot' }, paper, none));

  const draw = () => {
    const { work } = store.state;
    const profile = rowOf(work)?.profile;
    const { width, height } = paper.getBoundingClientRect();
    none.textContent = profile ? '' : words.noProfile;
    bar.hidden = !profile;
    if (!profile) picture.replaceChildren();
    if (!profile || width < 1 || height < 1) return;
    const map = scale(profile, work.rows.magnify, width, height);
    slider.show(map.magnify);
    fit.setAttribute('aria-pressed', String(work.rows.magnify === null));
    paper.dataset.magnified = String(map.magnify);
    picture.setAttribute('viewBox', `0 0 ${width} ${height}`);
    const range = (list) => quantity(Math.max(...list) - Math.min(...list), 'mm');
    picture.setAttribute('aria-label', `${words.plan} ${range(profile.plan)}, ${words.profile} ${range(profile.side)}, ${words.chord(quantity(map.chord, 'mm'))}`);
    picture.replaceChildren(...drawing(profile, map));
  };
  new ResizeObserver(draw).observe(paper);
  store.watch(({ work }) => [rowOf(work), work.rows.magnify, work.rows.view, work.rows.folded, work.pass], draw);
}

/** Pixels a mm along and across. `magnify`: null for the largest at which the row still takes the whole width. */
function scale({ along, plan, side }, magnify, width, height) {
  const span = (list) => [Math.min(...list), Math.max(...list)];
  const [start, end] = span(along);
  const chord = end - start || 1;
  const ranges = [span(plan), span(side)];
  const widest = Math.max(...ranges.map(([low, high]) => high - low), chord * 1e-6);
  const room = { width: width - MARGIN.left - MARGIN.right, height: (height - MARGIN.top - MARGIN.bottom - MARGIN.between) / 2 };
  const fits = (room.height / widest) * (chord / room.width);
  const used = Math.min(MOST, Math.max(LEAST, magnify ?? fits));
  const x = Math.min(room.width / chord, room.height / (widest * used));
  const left = MARGIN.left + (room.width - chord * x) / 2;
  const middles = [0, 1].map((k) => MARGIN.top + room.height / 2 + k * (room.height + MARGIN.between));
  return {
    magnify: used,
    chord,
    room,
    middles,
    x: (s) => left + (s - start) * x,
    y: (k, value) => middles[k] - (value - (ranges[k][0] + ranges[k][1]) / 2) * x * used,
    across: x * used,
    right: width - MARGIN.right,
    bottom: height - MARGIN.bottom,
  };
}

const text = (x, y, said, name, anchor = 'start') => svg('text', { x, y, class: name, 'text-anchor': anchor }, said);

function drawing({ along, plan, side }, map) {
  const parts = [];
  [[words.plan, words.planOf, plan, 'plan'], [words.profile, words.profileOf, side, 'side']].forEach(([name, of, values, kind], k) => {
    const half = map.room.height / 2;
    parts.push(text(8, map.middles[k] - half - 5, name, 'most-name'), text(8 + 8 * name.length + 6, map.middles[k] - half - 5, of, 'axis'));
    parts.push(svg('line', { class: 'grid zero', x1: map.x(Math.min(...along)), x2: map.x(Math.max(...along)), y1: map.y(k, 0), y2: map.y(k, 0) }));
    parts.push(svg('polyline', { class: 'curve', points: along.map((s, i) => `${map.x(s).toFixed(1)},${map.y(k, values[i]).toFixed(1)}`).join(' ') }));
    parts.push(...along.map((s, i) => svg('circle', { class: 'knob own', cx: map.x(s), cy: map.y(k, values[i]), r: 3.5, data: { [kind]: String(values[i]), along: String(s) } })));
    parts.push(...bar(map, k, half));
  });
  parts.push(text((map.x(Math.min(...along)) + map.x(Math.max(...along))) / 2, map.bottom + 16, words.chord(quantity(map.chord, 'mm')), 'axis', 'middle'));
  return parts;
}

/** The scale across, in mm: a round length about two thirds of the room at most. */
function bar(map, k, half) {
  const most = (1.4 * half) / map.across;
  const power = 10 ** Math.floor(Math.log10(most));
  const length = [5, 2, 1].map((m) => m * power).find((value) => value <= most) ?? power;
  const [x, y0] = [map.right + 10, map.middles[k] + (length * map.across) / 2];
  const y1 = y0 - length * map.across;
  return [svg('path', { class: 'scale', d: `M${x} ${y0}h6h-3V${y1}h-3h6` }), text(x + 10, map.middles[k] + 4, `${number(length)} mm`, 'axis')];
}
