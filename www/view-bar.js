// The standard views, fit and projection as buttons, for those who do not use the keys.

import { VIEWS } from './camera-input.js';
import { el, replace } from './dom.js';
import { texts } from './texts.js';

const words = texts.view;

export function mountViewBar(root, store, scene) {
  root.setAttribute('role', 'group');
  root.setAttribute('aria-label', words.label);
  const button = (id, label, key, click) => el('button', { type: 'button', id, title: `${label} (${key})`, on: { click } }, label);
  const projection = button('view-projection', words.orthographic, 'P', () => scene.toggleProjection());
  replace(
    root,
    button('view-fit', words.fit, 'F', () => scene.fit()),
    VIEWS.map((view, i) => button(`view-${view}`, words[view], i + 1, () => scene.standardView(view))),
    projection,
  );
  store.watch(
    ({ work }) => [work.projection, work.graphics],
    ({ work }) => {
      projection.setAttribute('aria-pressed', String(work.projection === 'orthographic'));
      root.hidden = work.graphics !== 'ok';
    },
  );
}
