// A running import: its stage, how far the stage is, and Cancel.

import { el, replace } from './dom.js';
import { bytes, count } from './format.js';
import { STAGES } from './protocol.js';
import { texts } from './texts.js';

const words = texts.progress;

/** `commands.cancel()` ends the import. */
export function mountProgress(root, store, commands) {
  const name = el('b', {});
  const stage = el('span', { class: 'stage' });
  const bar = el('progress', { 'aria-label': words.label, max: '1' });
  const steps = STAGES.map((one) => el('li', { data: { stage: one } }, words.stages[one]));
  const cancel = el('button', { type: 'button', id: 'cancel', on: { click: () => commands.cancel() } }, words.cancel);
  const slip = el(
    'section',
    { class: 'slip progress', id: 'progress', 'aria-label': words.label },
    el('p', {}, name, ' ', stage),
    bar,
    el('ol', { class: 'steps' }, steps),
    cancel,
  );

  store.watch(
    ({ work }) => [work.busy],
    ({ work: { busy } }) => {
      if (!busy) return replace(root);
      if (!slip.isConnected) replace(root, slip);
      const known = busy.total > 0;
      const text = busy.stage === 'fetch' ? bytes : count;
      name.textContent = busy.name;
      stage.textContent = `${words.stages[busy.stage] ?? busy.stage} ${known ? words.of(text(busy.done), text(busy.total)) : ''}`;
      if (known) bar.value = busy.done / busy.total;
      else bar.removeAttribute('value');
      const now = STAGES.indexOf(busy.stage);
      steps.forEach((step, i) => {
        step.className = i < now ? 'past' : i === now ? 'now' : '';
        if (i === now) step.setAttribute('aria-current', 'step');
        else step.removeAttribute('aria-current');
      });
    },
  );
}
