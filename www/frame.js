// The page in a frame: one element with the attributes that the query names. What stands there is anybody's text.

import { el } from './dom.js';
import { texts } from './texts.js';

const NAMES = ['src', 'review', 'view', 'family', 'pass', 'controls', 'poster', 'caption', 'zone', 'still'];

const given = new URLSearchParams(location.search);
const attributes = Object.fromEntries(NAMES.filter((name) => given.has(name)).map((name) => [name, given.get(name)]));

// Opened by itself this page would fetch from anywhere that a link says. The inspector asks first.
const foreign = window.top === window && ['src', 'review', 'poster'].find((name) => name in attributes && !own(attributes[name]));

document.body.append(
  foreign
    ? el('p', { class: 'stray' }, `${texts.element.stray} `, el('a', { href: `./?model=${encodeURIComponent(attributes.src ?? '')}` }, texts.element.open))
    : el('rakelight-view', { ...attributes, loading: 'eager' }),
);

function own(text) {
  try {
    return new URL(text, document.baseURI).origin === location.origin;
  } catch {
    return false;
  }
}
