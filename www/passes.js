// The strip of passes at the left edge. The open pass unfolds in place and shows only its own controls.

import { el, replace } from './dom.js';
import { openEntries } from './entries.js';
import { JUDGED } from './records.js';
import { texts } from './texts.js';

/** `bodies`: pass name → mount(root, store), in the order of a review. */
export function mountPasses(root, store, bodies) {
  root.setAttribute('aria-label', texts.passes.label);
  const rows = Object.keys(bodies).map((pass) => {
    const count = el('span', { class: 'pass-count' });
    const spoken = el('span', { class: 'spoken' });
    const button = el(
      'button',
      {
        type: 'button',
        id: `pass-${pass}`,
        class: 'pass',
        'aria-controls': `pass-${pass}-body`,
        on: { click: () => store.dispatch({ type: 'choose-pass', pass }) },
      },
      el('span', { class: 'pass-name' }, texts.passes[pass]),
      el('span', { class: 'leader', 'aria-hidden': 'true' }),
      count,
      spoken,
    );
    const body = el('div', {
      id: `pass-${pass}-body`,
      class: 'pass-body',
      role: 'region',
      'aria-labelledby': `pass-${pass}`,
    });
    bodies[pass](body, store);
    return { pass, button, count, spoken, body };
  });
  replace(
    root,
    el('ol', {}, rows.map(({ button, body }) => el('li', {}, el('h2', {}, button), body))),
  );

  store.watch(
    ({ work }) => [work.pass, work.folded],
    ({ work }) => {
      for (const { pass, button, body } of rows) {
        const here = pass === work.pass;
        button.classList.toggle('here', here);
        button.setAttribute('aria-expanded', String(here && !work.folded));
        body.hidden = !here || work.folded;
      }
    },
  );
  store.watch(
    ({ work, review }) => [work.findings, work.model, review.marks, review.pins],
    (state) => {
      for (const { pass, count, spoken } of rows) {
        const counts = state.work.model && (pass === 'overview' || JUDGED.includes(pass));
        const n = counts ? openEntries(state, pass).length : 0;
        count.textContent = counts ? String(n) : '';
        count.setAttribute('aria-hidden', 'true');
        spoken.textContent = counts ? `, ${texts.passes.count(n)}` : '';
      }
    },
  );
}
