// What stands around the second model: the choice to open one, both names, the divider and how the two are laid out.

import { choice, el, fileInput, replace } from './dom.js';
import { createDivider } from './divider.js';
import { DEMO } from './open.js';
import { single } from './packed.js';
import { texts } from './texts.js';

const words = texts.beside;

const LAYOUTS = [
  { value: 'wipe', id: 'beside-wipe', label: words.wipe },
  { value: 'halves', id: 'beside-halves', label: words.halves },
];

/** In the Overview: ways to open a second model. `beside`: openFile(file), openDemo(). */
export function mountBesideOpen(root, store, beside) {
  const input = fileInput('beside-input', words.open, (file) => beside.openFile(file));
  const demo = el('button', { type: 'button', id: 'beside-demo', on: { click: () => beside.openDemo() } }, words.demo);
  const open = el('button', { type: 'button', id: 'beside-open', title: words.openHint, on: { click: () => input.click() } }, words.open);
  replace(root, el('h3', {}, words.title), el('div', { class: 'buttons' }, open, input, demo));
  store.watch(
    ({ work }) => [work.model, work.graphics, work.busy],
    ({ work }) => {
      root.hidden = !work.model || work.graphics !== 'ok' || work.busy !== null;
      demo.hidden = single || work.model?.name !== DEMO.split('/').pop();
    },
  );
}

/** `surface`: what both canvases lie in; `canvas`: the second; `root`: names, divider and buttons. */
export function mountBeside(surface, canvas, root, store, beside) {
  const first = el('p', { class: 'beside-name', id: 'beside-first' });
  const second = el('p', { class: 'beside-name', id: 'beside-second' });
  const divider = createDivider({
    id: 'beside-divider',
    label: words.divider,
    box: () => surface.getBoundingClientRect(),
    at: () => store.state.work.beside.at,
    move: (at) => store.dispatch({ type: 'beside-wipe', at }),
  });
  const bar = el('div', { id: 'beside-bar' });
  replace(root, first, second, divider.node, bar);
  canvas.setAttribute('role', 'application');
  canvas.setAttribute('aria-description', texts.view.keys);

  store.watch(
    ({ work }) => [work.beside, work.model],
    ({ work: { beside: shown, model } }) => {
      root.hidden = canvas.hidden = shown === null;
      if (shown === null) {
        delete surface.dataset.beside;
        return;
      }
      surface.dataset.beside = shown.layout;
      const at = shown.layout === 'halves' ? 0.5 : shown.at;
      surface.style.setProperty('--wipe', `${at * 100}%`);
      first.textContent = model?.name ?? '';
      second.textContent = shown.ready ? shown.name : words.reading(shown.name, texts.progress.stages[shown.stage] ?? '');
      canvas.setAttribute('aria-label', shown.name);
      divider.node.hidden = shown.layout === 'halves';
      divider.show(at);
    },
  );
  store.watch(
    ({ work }) => [work.beside?.layout, work.beside?.ready],
    ({ work: { beside: shown } }) =>
      replace(
        bar,
        shown && choice(words.layout, LAYOUTS, shown.layout, (layout) => store.dispatch({ type: 'beside-layout', layout })),
        shown &&
          el('button', { type: 'button', id: 'beside-close', on: { click: () => beside.close() } }, shown.ready ? words.close : texts.progress.cancel),
      ),
  );
}
