// The slip about the page as one file: how large it is, before it is saved.

import { el, replace } from './dom.js';
import { bytes } from './format.js';
import { texts } from './texts.js';

const words = texts.single;

/** `single`: single-verbs.js. */
export function mountSingleSlip(root, store, single) {
  const place = el('div', { role: 'status' });
  root.append(place);
  const back = () => document.getElementById('single-save')?.focus();
  const pressed = (click) => () => {
    click();
    back();
  };
  const leave = () => el('button', { type: 'button', id: 'single-leave', on: { click: pressed(single.leave) } }, words.leave);
  const slip = (...parts) => el('section', { class: 'slip', id: 'single-slip' }, parts);
  store.watch(
    ({ work }) => [work.single],
    ({ work: { single: one, model } }) => {
      if (!one) return replace(place);
      if (!one.size) return replace(place, slip(el('p', {}, words.making), el('div', { class: 'buttons' }, leave())));
      const save = el('button', { type: 'button', id: 'single-take', class: 'strong', on: { click: pressed(single.save) } }, words.save);
      replace(
        place,
        slip(
          el('p', {}, words.made(model.name, bytes(one.size))),
          el('p', { class: 'quiet' }, words.parts(bytes(one.model), bytes(one.review))),
          el('p', { class: 'quiet' }, words.shares),
          el('div', { class: 'buttons' }, save, leave()),
        ),
      );
      save.focus();
      return undefined;
    },
  );
}
