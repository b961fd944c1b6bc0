// Sheet and tool in the Form pass: limits of form that go by what the part is made of.

import { el, replace, tick } from './dom.js';
import { texts } from './texts.js';

const words = texts.making;

export function mountMakingControls(root, store) {
  root.id = 'making';
  const set = (making) => store.dispatch({ type: 'set-making', making });
  store.watch(
    ({ review }) => [review.making],
    ({ review: { making } }) => {
      const field = (name) => {
        const box = el('input', {
          type: 'number',
          min: 0,
          step: 'any',
          id: `making-${name}`,
          value: making[name] === null ? '' : String(making[name]),
          on: { change: () => set({ [name]: box.value !== '' && Number(box.value) >= 0 && Number.isFinite(Number(box.value)) ? Number(box.value) : null }) },
        });
        return el('div', { class: 'field pair' }, el('label', { for: box.id }, words[name]), box);
      };
      replace(
        root,
        el('h3', {}, words.title),
        field('sheet'),
        field('inner'),
        field('radius'),
        tick('making-draft', words.draft, making.draft, (draft) => set({ draft })),
        making.draft && field('least'),
        el('p', { class: 'quiet' }, words.note),
      );
    },
  );
}
