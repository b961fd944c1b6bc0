// Stripes traced as curves, saved as a drawing or as points; while they are traced, how far that is, and Cancel.

import { el, replace } from './dom.js';
import { count } from './format.js';
import { texts } from './texts.js';

const words = texts.stripes;

/** How far stripes on their way are, and a button that ends them. `stop()`. */
export function createTracing(name, stop) {
  const bar = el('progress', { 'aria-label': words.title, max: '1' });
  const say = el('p', { class: 'quiet' });
  const cancel = el('button', { type: 'button', id: `${name}-cancel`, on: { click: stop } }, texts.progress.cancel);
  const root = el('div', { class: 'block', id: `${name}-progress` }, say, bar, cancel);
  return {
    root,
    show(tracing) {
      root.hidden = tracing === null;
      if (!tracing) return;
      const known = tracing.total > 0;
      say.textContent = known ? words.of(count(tracing.done), count(tracing.total)) : words.begun;
      if (known) bar.value = tracing.done / tracing.total;
      else bar.removeAttribute('value');
    },
  };
}

/** `commands`: saveStripes(form), stopStripes(). */
export function mountStripeExport(root, store, commands) {
  const button = (form) =>
    el('button', { type: 'button', id: `stripes-${form}`, title: words.hints[form], on: { click: () => commands.saveStripes(form) } }, words[form]);
  const buttons = el('div', { class: 'buttons' }, button('svg'), button('json'));
  const running = createTracing('stripes', () => commands.stopStripes());
  replace(root, el('h3', {}, words.title), el('p', { class: 'quiet' }, words.note), buttons, running.root);

  store.watch(
    ({ work, review }) => [work.tracing, work.model, work.graphics, review.lamps.family],
    ({ work: { tracing, model, graphics }, review }) => {
      root.hidden = !model || graphics !== 'ok' || review.lamps.family === 'none';
      buttons.hidden = tracing !== null;
      running.show(tracing);
    },
  );
}
