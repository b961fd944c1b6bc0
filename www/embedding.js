// The page about elements in other pages: snippets with this site's own address, and buttons that copy them.

import { el } from './dom.js';
import { embedding } from './texts/embedding.js';

const words = embedding.embedding;

/** What stands for the site in the page's source. */
const SITE = 'https://host.example/rakelight/';

for (const code of document.querySelectorAll('pre > code')) {
  code.textContent = code.textContent.replaceAll(SITE, new URL('.', document.baseURI).href);
  const button = el('button', { type: 'button', on: { click: () => copy(code, button) } }, words.copy);
  code.parentElement.prepend(button);
}

async function copy(code, button) {
  try {
    await navigator.clipboard.writeText(code.textContent);
    button.textContent = words.copied;
  } catch {
    // No clipboard without a secure address.
    getSelection().selectAllChildren(code);
    button.textContent = words.marked;
  }
}
