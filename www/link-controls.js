// The dialog of a link: what it holds, where its model comes from, how long it is, and copying it.

import { el, replace, tick } from './dom.js';
import { texts } from './texts.js';

const words = texts.link;

/** Characters that mail programs take. */
const SHORT = 2000;

/** `links`: createLinks(). */
export function mountLinkDialog(dialog, links) {
  let inside = true; // the model is put into the link where it can be
  let making = 0;
  const source = el('p', { id: 'link-source' });
  const box = tick('link-pack', words.pack, inside, (on) => ((inside = on), make()));
  const text = el('textarea', { id: 'link-text', readonly: true, rows: '4', spellcheck: 'false' });
  const length = el('p', { id: 'link-length' });
  const said = el('p', { id: 'link-said', role: 'status' });
  const take = el('button', { type: 'submit', id: 'link-take', class: 'strong' }, words.take);
  const close = el('button', { type: 'button', id: 'link-close', on: { click: () => dialog.close() } }, words.close);
  const submit = (event) => {
    event.preventDefault();
    copy();
  };
  const label = el('label', { for: 'link-text' }, words.text);
  dialog.setAttribute('aria-labelledby', 'link-title');
  replace(
    dialog,
    el(
      'form',
      { on: { submit } },
      el('h2', { id: 'link-title' }, words.title),
      el('p', {}, words.holds),
      el('p', { class: 'quiet' }, words.lacks),
      source,
      box,
      label,
      text,
      length,
      isHere() && el('p', {}, words.here),
      el('p', { class: 'quiet' }, words.sent),
      el('div', { class: 'buttons' }, said, close, take),
    ),
  );
  dialog.addEventListener('close', () => {
    making += 1;
    text.value = '';
    document.getElementById('link-copy')?.focus();
  });

  async function make() {
    const mine = (making += 1);
    take.disabled = true;
    said.textContent = words.making;
    try {
      const link = await links.make(inside);
      if (mine === making) show(link);
    } catch (error) {
      if (mine !== making) return;
      text.value = length.textContent = source.textContent = '';
      box.hidden = true;
      said.textContent = words.none(error.message);
    }
  }

  function show({ address, source: from, packable }) {
    source.textContent = typeof from === 'string' ? words.source[from] : words.source.address(from.address);
    box.hidden = !packable;
    text.value = address;
    length.textContent = [words.length(address.length), address.length > SHORT && words.long].filter(Boolean).join(' ');
    length.dataset.length = String(address.length);
    said.textContent = '';
    take.disabled = false;
    if (!dialog.contains(document.activeElement) || document.activeElement === close) take.focus();
  }

  async function copy() {
    const wanted = text.value;
    try {
      await navigator.clipboard.writeText(wanted);
      said.textContent = words.taken;
    } catch {
      // Frames and pages that are not served safely have no clipboard, but may have the older way.
      text.focus();
      text.select();
      said.textContent = document.execCommand('copy') ? words.taken : words.selected;
    }
  }

  links.onAsk(() => {
    dialog.showModal();
    close.focus();
    make();
  });
}

/** True where the page's address leads nowhere on other machines. */
const isHere = () => ['localhost', '127.0.0.1', '[::1]', ''].includes(location.hostname);
