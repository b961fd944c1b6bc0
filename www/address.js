// A model address: asked first with the host shown, nothing fetched before a yes; failures explained.

import { el, replace } from './dom.js';
import { texts } from './texts.js';

const words = texts.address;

/** The address as a URL the page may fetch after a yes, or null: only http and https, no name or password in it. */
function parseAddress(text) {
  try {
    const url = new URL(text.trim());
    return (url.protocol === 'https:' || url.protocol === 'http:') && !url.username && !url.password ? url : null;
  } catch {
    return null;
  }
}

/** The dialog that asks. An address from the link is shown as it is; an empty one is typed by the user. */
export function mountConsent(dialog, store, commands) {
  const address = el('input', { type: 'text', id: 'address', inputmode: 'url', autocomplete: 'off', spellcheck: 'false' });
  const host = el('output', { for: 'address', id: 'consent-host' });
  const title = el('h2', { id: 'consent-title' });
  const yes = el('button', { type: 'submit', id: 'consent-yes', class: 'strong' }, words.yes);
  const no = el('button', { type: 'button', id: 'consent-no', on: { click: () => dialog.close() } }, words.no);
  const show = () => {
    const url = parseAddress(address.value);
    host.textContent = url ? url.host : address.value.trim() === '' ? '–' : words.bad;
    yes.disabled = url === null;
  };
  address.addEventListener('input', show);
  dialog.setAttribute('aria-labelledby', 'consent-title');
  // It is told late: another address may be asked for by then.
  dialog.addEventListener('close', () => dialog.open || store.dispatch({ type: 'ask-consent', address: null }));
  const form = el(
    'form',
    {
      on: {
        submit: (event) => {
          event.preventDefault();
          const url = parseAddress(address.value);
          if (!url) return;
          dialog.close();
          commands.openAddress(url);
        },
      },
    },
    title,
    el('label', { for: 'address' }, words.full),
    address,
    el('p', { class: 'host' }, `${words.host} `, host),
    el('p', { class: 'quiet' }, words.explain),
    el('div', { class: 'buttons' }, no, yes),
  );
  replace(dialog, form);

  store.watch(
    ({ work }) => [work.consent],
    ({ work: { consent } }) => {
      if (consent === null) {
        if (dialog.open) dialog.close();
        return;
      }
      title.textContent = consent === '' ? words.askTitle : words.title;
      address.value = consent;
      show();
      if (!dialog.open) dialog.showModal();
      (consent === '' ? address : no).focus();
    },
  );
}

/**
 * The bytes at an address the user has agreed to. `onProgress(done, total)`, total 0 when unknown.
 * Throws an Error whose message says what went wrong, with `advice`.
 */
export async function fetchModel(url, signal, onProgress) {
  let response;
  try {
    response = await fetch(url, { signal, credentials: 'omit', referrerPolicy: 'no-referrer', cache: 'no-store' });
  } catch (error) {
    if (error.name === 'AbortError') throw error;
    throw Object.assign(new Error(words.blocked(url.host)), { advice: words.blockedAdvice });
  }
  if (!response.ok) throw new Error(words.status(response.status));
  return readBody(response, onProgress);
}

/** The whole body of an answer as an ArrayBuffer. */
export async function readBody(response, onProgress) {
  const total = Number(response.headers.get('content-length')) || 0;
  if (!response.body) return response.arrayBuffer();
  const parts = [];
  let done = 0;
  const reader = response.body.getReader();
  for (;;) {
    const { value, done: finished } = await reader.read();
    if (finished) break;
    parts.push(value);
    done += value.byteLength;
    onProgress(done, Math.max(total, total && done));
  }
  return new Blob(parts).arrayBuffer();
}
