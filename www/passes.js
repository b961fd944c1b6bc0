// The strip of passes at the left edge. The open pass unfolds in place and shows only its own controls.

import { el, replace } from './dom.js';
import { openFindings } from './records.js';
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
    el('ol', {}, rows.map(({ button, body }) => el('li', {}, button, body))),
  );

  store.watch(
    ({ work }) => [work.pass],
    ({ work }) => {
      for (const { pass, button, body } of rows) {
        button.setAttribute('aria-expanded', String(pass === work.pass));
        body.hidden = pass !== work.pass;
      }
    },
  );
  store.watch(
    ({ work, review }) => [work.findings, work.model, review.marks],
    (state) => {
      for (const { pass, count, spoken } of rows) {
        const n = openFindings(state, pass).length;
        count.textContent = state.work.model ? String(n) : '';
        count.setAttribute('aria-hidden', 'true');
        spoken.textContent = state.work.model ? `, ${texts.passes.count(n)}` : '';
      }
    },
  );
}
