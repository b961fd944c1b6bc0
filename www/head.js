// The page's head: name, open model, ways to open one, undo, theme.

import { MODELS, el, fileInput, replace } from './dom.js';
import { bytes } from './format.js';
import { single as oneFile } from './packed.js';
import { texts } from './texts.js';
import { remember } from './theme.js';

/** `commands`: openFile(file), openDemo(), saveCheck(); `reviews`: save(); `links`: ask(); `single`: make(). */
export function mountHead(root, store, commands, reviews, links, single) {
  const input = fileInput('file-input', texts.head.open, (file) => commands.openFile(file), `${MODELS},.json`);
  const button = (id, label, title, click) => el('button', { type: 'button', id, title, on: { click } }, label);
  const name = el('p', { id: 'model-name' });
  const undo = button('undo', texts.head.undo, 'Ctrl+Z', () => store.undo());
  const redo = button('redo', texts.head.redo, 'Ctrl+Shift+Z', () => store.redo());
  const theme = button('theme', '', texts.head.themeHint, () => {
    const next = store.state.work.theme === 'dark' ? 'light' : 'dark';
    remember(next);
    store.dispatch({ type: 'choose-theme', theme: next });
  });
  const check = button('check-json', texts.head.check, texts.head.checkHint, () => commands.saveCheck());
  const save = button('review-save', texts.reviewFile.save, texts.reviewFile.saveHint, () => reviews.save());
  const link = button('link-copy', texts.link.copy, texts.link.copyHint, () => links.ask());
  const whole = button('single-save', texts.single.button, texts.single.hint, () => single.make());
  // One file has no network and nothing beside it.
  const elsewhere = oneFile
    ? []
    : [
        button('address-button', texts.head.address, null, () => store.dispatch({ type: 'ask-consent', address: '' })),
        button('demo-button', texts.head.demo, texts.head.demoHint, () => commands.openDemo()),
      ];
  replace(
    root,
    el('h1', {}, texts.title),
    name,
    el(
      'div',
      { class: 'tools' },
      button('open-button', texts.head.open, texts.head.openHint, () => input.click()),
      input,
      elsewhere,
      el('span', { class: 'gap' }),
      undo,
      redo,
      save,
      !oneFile && link, // it would lead to a file on somebody's disk
      whole,
      check,
      theme,
    ),
  );

  store.watch(
    ({ work }) => [work.model?.name],
    ({ work }) => {
      const model = work.model;
      name.replaceChildren(model ? el('b', {}, model.name) : texts.head.none, model ? ` ${bytes(model.size)}` : '');
      name.title = model?.name ?? '';
      document.title = model ? `${model.name} · ${texts.title}` : texts.title;
      check.disabled = save.disabled = link.disabled = whole.disabled = !model;
    },
  );
  store.watch(
    ({ canUndo, canRedo }) => [canUndo, canRedo],
    ({ canUndo, canRedo }) => {
      undo.setAttribute('aria-disabled', String(!canUndo));
      redo.setAttribute('aria-disabled', String(!canRedo));
    },
  );
  store.watch(
    ({ work }) => [work.theme],
    ({ work }) => {
      theme.textContent = work.theme === 'dark' ? texts.head.light : texts.head.dark;
    },
  );
  addEventListener('keydown', (event) => {
    if (!(event.ctrlKey || event.metaKey) || event.altKey || event.target.matches?.('input[type=text], textarea')) return;
    const key = event.key.toLowerCase();
    if (key !== 'z' && key !== 'y') return;
    event.preventDefault();
    if (key === 'y' || event.shiftKey) store.redo();
    else store.undo();
  });
}
