// Picking the rails and sections of a sweep on the model, and making it.

import { el, replace } from './dom.js';
import { RAILS, canSweep } from './sweep.js';
import { texts } from './texts.js';

const words = texts.sweep;

const isSet = (id) => id !== null && id !== undefined;

export function mountSweep(root, store, commands) {
  store.watch(
    ({ work }) => [work.model, work.sweepView, work.selection, work.busy],
    ({ work }) => {
      const { sweepView: view, selection, model, busy } = work;
      replace(
        root,
        model && [
          el('h3', {}, words.title),
          el('p', { class: 'quiet' }, words.hint),
          RAILS.map((which) => rail(which, view[which], selection.join, store)),
          el(
            'div',
            { class: 'buttons' },
            el('button', { type: 'button', id: 'sweep-patch', disabled: !isSet(selection.face), title: words.patchHint, on: { click: () => commands.takeSides(selection.face) } }, words.patch),
            el('button', { type: 'button', id: 'sweep-make', disabled: !canSweep(view) || busy !== null, on: { click: () => commands.holdSweep(view) } }, words.make),
          ),
        ],
      );
    },
  );
}

function rail(which, taken, join, store) {
  const choose = (one) => store.dispatch({ type: 'choose-join', join: one });
  const drop = (one) => store.dispatch({ type: 'sweep-drop', which, join: one });
  return el(
    'div',
    { class: 'field pair', role: 'group', 'aria-label': words.rails[which] },
    el(
      'button',
      { type: 'button', id: `sweep-${which}`, disabled: !isSet(join) || taken.includes(join), on: { click: () => store.dispatch({ type: 'sweep-take', which, join }) } },
      words.rails[which],
    ),
    taken.length === 0
      ? el('span', { class: 'quiet' }, which === 'end' ? words.same : words.none)
      : el(
          'ul',
          { class: 'taken' },
          taken.map((one) =>
            el(
              'li',
              {},
              el('button', { type: 'button', id: `sweep-${which}-${one}`, on: { click: () => choose(one) } }, words.edge(one)),
              el('button', { type: 'button', id: `sweep-${which}-${one}-drop`, 'aria-label': words.drop(one), on: { click: () => drop(one) } }, '×'),
            ),
          ),
        ),
  );
}
