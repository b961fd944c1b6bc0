// Feature lines in the Form pass, corners in the Joins pass.

import { el, factList, replace, svg } from './dom.js';
import { count, quantity } from './format.js';
import { chosenLine } from './lines.js';
import { texts } from './texts.js';

const words = texts.lines;

/** Lines listed by themselves. More are a list that nobody reads to its end. */
const LISTED = 12;
const WIDTH = 190;
const HEIGHT = 64;

export function mountLineControls(root, store) {
  root.id = 'feature-lines';
  store.watch(
    ({ work }) => [work.lines, work.selection.join],
    ({ work }) => {
      if (!work.lines) return replace(root);
      const chosen = chosenLine(work);
      const longest = work.lines.features.toSorted((a, b) => b.length - a.length);
      const shown = longest.slice(0, LISTED);
      if (chosen && !shown.includes(chosen)) shown.push(chosen);
      replace(
        root,
        el('h3', {}, words.title),
        el('p', { class: 'quiet' }, longest.length === 0 ? words.none : words.hint),
        shown.map((line) => row(line, longest.indexOf(line) + 1, line === chosen, store)),
        chosen && told(chosen),
      );
    },
  );
}

function row(line, i, chosen, store) {
  return el(
    'button',
    {
      type: 'button',
      id: `feature-${i}`,
      class: 'line-row',
      'aria-pressed': String(chosen),
      on: { click: () => store.dispatch({ type: 'choose-join', join: line.joins[0] }) },
    },
    el('span', {}, words.name(words.kinds[line.kind], i)),
    el('span', { class: 'line-length' }, quantity(line.length, 'mm')),
    (line.flips.length > 0 || line.fades.length > 0) && el('span', { class: 'line-odd' }, [line.flips.length > 0 && `${words.flips}: ${line.flips.length}`, line.fades.length > 0 && `${words.fades}: ${line.fades.length}`].filter(Boolean).join(', ')),
  );
}

function told(line) {
  const rows = [
    [words.length, quantity(line.length, 'mm')],
    [words.angles, words.range(quantity(line.least_angle, 'deg'), quantity(line.largest_angle, 'deg'))],
    [words.flips, count(line.flips.length)],
    [words.fades, count(line.fades.length)],
    [words.plan, count(line.plan_inflections.length)],
    [words.side, count(line.side_inflections.length)],
  ];
  return [
    plot(line),
    factList(rows, {
      id: 'feature-facts',
      data: { least: String(line.least_angle), largest: String(line.largest_angle), flips: String(line.flips.length) },
    }),
  ];
}

/** The angle over the length, zero as a line. */
function plot({ along, angles }) {
  const low = Math.min(0, ...angles);
  const high = Math.max(0, ...angles);
  const end = along.at(-1) || 1;
  const x = (s) => (s / end) * WIDTH;
  const y = (angle) => 4 + (HEIGHT - 8) * (1 - (angle - low) / (high - low || 1));
  return svg(
    'svg',
    { class: 'line-plot', viewBox: `0 0 ${WIDTH} ${HEIGHT}`, role: 'img', 'aria-label': words.plot },
    svg('line', { class: 'zero', x1: 0, x2: WIDTH, y1: y(0), y2: y(0) }),
    svg('polyline', { points: along.map((s, i) => `${x(s).toFixed(1)},${y(angles[i]).toFixed(1)}`).join(' ') }),
  );
}

export function mountCornerControls(root, store) {
  root.id = 'corner-block';
  const box = el('input', { type: 'checkbox', id: 'corners-on', on: { change: () => store.dispatch({ type: 'set-corners', on: box.checked }) } });
  const note = el('p', { class: 'quiet' });
  replace(root, el('label', { class: 'tick', for: 'corners-on' }, box, words.corners), note);
  store.watch(
    ({ work }) => [work.cornersOn, work.lines],
    ({ work: { cornersOn, lines } }) => {
      box.checked = cornersOn;
      note.hidden = !cornersOn || !lines;
      if (note.hidden) return;
      const spreads = lines.corners.map(({ normals }) => normals).filter((x) => x !== null);
      note.textContent = [words.cornerCount(lines.corners.length), spreads.length > 0 && words.cornerWorst(quantity(Math.max(...spreads), 'deg'))].filter(Boolean).join(' ');
    },
  );
}
