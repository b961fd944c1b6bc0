// Two edges picked on the model: the distance between them along the first, and its change.

import { el, factList, replace, svg } from './dom.js';
import { number, quantity } from './format.js';
import { rangeOf } from './gaps.js';
import { texts } from './texts.js';

const words = texts.gaps;

const [WIDTH, HEIGHT] = [190, 52];

export function mountEdgePair(root, store) {
  store.watch(
    ({ work }) => [work.model, work.gapView.first, work.gapView.second, work.selection.join, work.edgesFound],
    ({ work }) => {
      const { first, second } = work.gapView;
      const taken = { first, second };
      const { join } = work.selection;
      const free = join === null || join === undefined;
      const buttons = Object.keys(taken).map((which) =>
        el(
          'div',
          { class: 'field pair' },
          el('button', { type: 'button', id: `edge-${which}`, disabled: free, on: { click: () => store.dispatch({ type: 'set-gap-view', view: { [which]: join } }) } }, words.take[which]),
          el('span', {}, taken[which] === null ? words.notTaken : words.taken(taken[which])),
        ),
      );
      replace(root, work.model && [el('h3', {}, words.line), el('p', { class: 'quiet' }, words.lineHint), buttons, found(work)]);
    },
  );
}

function found({ edgesFound, gapView: { first, second } }) {
  if (!edgesFound || first === null || second === null) return null;
  const { along, offset, change } = edgesFound.between;
  if (offset.length === 0) return el('p', { class: 'quiet' }, words.lineNone);
  const range = rangeOf([offset]);
  const text = (list) => words.range(...rangeOf([list]).map((x) => quantity(x, 'mm')));
  const span = Math.max(range[1] - range[0], 1e-6);
  const x = (s) => ((s - along[0]) / (along.at(-1) - along[0] || 1)) * WIDTH;
  const y = (v) => 4 + (HEIGHT - 8) * (1 - (v - range[0]) / span);
  return [
    svg(
      'svg',
      { class: 'line-plot', viewBox: `0 0 ${WIDTH} ${HEIGHT}`, role: 'img', 'aria-label': words.plot(words.offset, ...range.map(number)) },
      svg('polyline', { points: along.map((s, i) => `${x(s).toFixed(1)},${y(offset[i]).toFixed(1)}`).join(' ') }),
    ),
    factList(
      [
        [words.offset, text(offset)],
        [words.offsetChange, words.per(text(change))],
      ],
      { id: 'edge-facts', data: { least: String(range[0]), most: String(range[1]) } },
    ),
  ];
}
