// The slip about a newer version of the page.

import { el, replace } from './dom.js';
import { texts } from './texts.js';

const words = texts.offline;

/** `offline`: offline.js. */
export function mountNewer(root, store, offline) {
  const place = el('div', { role: 'status' });
  root.append(place);
  const button = (id, label, click, kind) => el('button', { type: 'button', id, class: kind, on: { click } }, label);
  const later = () => {
    offline.later();
    // A button that takes its slip away leaves the focus to the model.
    document.getElementById('canvas').focus({ preventScroll: true });
  };
  store.watch(
    ({ work }) => [work.offline, work.keeping.where, work.model === null],
    ({ work: { offline: now, keeping, model } }) => {
      const kept = ['here', 'saving'].includes(keeping.where);
      replace(
        place,
        now.shown &&
          el(
            'section',
            { class: 'slip', id: 'newer', data: { others: now.others } },
            el('p', {}, words.newer),
            now.others > 0 && el('p', {}, words.others(now.others)),
            model && el('p', { class: 'quiet' }, kept ? words.kept : words.unkept),
            el(
              'div',
              { class: 'buttons' },
              button('newer-load', words.load, () => offline.take(), now.others > 0 ? null : 'strong'),
              button('newer-later', words.later, later),
            ),
          ),
      );
    },
  );
}
