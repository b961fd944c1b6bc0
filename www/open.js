// Ways to open a model: drop a file, and what the page's own link asks for. Picking a file is in the head.

import { readBody } from './address.js';
import { el, replace } from './dom.js';
import { single } from './packed.js';
import { faceTotal } from './records.js';
import { texts } from './texts.js';

/** The demonstration model beside the page. */
export const DEMO = 'demo/bramble-a.step';
/** Its next revision. */
export const DEMO_B = 'demo/bramble-b.step';

/** Bytes of a demonstration model. Throws an Error with a sentence. */
export async function bringDemo(path, signal, onProgress = () => {}) {
  const response = await fetch(path, { signal, cache: 'no-store' }).catch((error) => {
    throw signal?.aborted ? error : new Error(texts.failure.demoAway);
  });
  if (!response.ok) throw new Error(texts.failure.noDemo);
  return readBody(response, onProgress);
}

/**
 * What the query of the page's link asks for:
 * {kind: 'address', address} asks first · {kind: 'own', path, name} a file this page's own server gives out ·
 * {kind: 'foreign'} an open link that points elsewhere, refused · {kind: 'demo'}.
 */
export function wanted(href) {
  const page = new URL(href);
  const address = page.searchParams.get('model');
  if (address !== null) return { kind: 'address', address };
  const open = page.searchParams.get('open');
  if (open === null) return { kind: 'demo' };
  const base = new URL('open/', page.origin + page.pathname);
  let file;
  try {
    file = new URL(open, page.origin + page.pathname);
  } catch {
    return { kind: 'foreign' };
  }
  const own = page.origin !== 'null' && file.origin === page.origin && file.pathname.startsWith(base.pathname);
  if (!own) return { kind: 'foreign' };
  return { kind: 'own', path: file.href, name: decode(file.pathname.split('/').pop()) };
}

/** The last part of an address as a file name. */
export function nameOf(url) {
  return decode(url.pathname.split('/').filter(Boolean).pop() ?? url.host);
}

function decode(text) {
  try {
    return decodeURIComponent(text);
  } catch {
    return text;
  }
}

/** Dropping a file anywhere on the page opens it. `frame` shows where it would land. */
export function mountDrop(frame, store, commands) {
  let depth = 0;
  const carries = (event) => event.dataTransfer?.types.includes('Files');
  const mark = (on) => frame.classList.toggle('dropping', on);
  frame.dataset.drop = texts.welcome.drop;
  addEventListener('dragenter', (event) => {
    if (!carries(event)) return;
    event.preventDefault();
    depth += 1;
    mark(true);
  });
  addEventListener('dragleave', () => {
    depth = Math.max(0, depth - 1);
    if (depth === 0) mark(false);
  });
  addEventListener('dragover', (event) => {
    if (carries(event)) event.preventDefault();
  });
  addEventListener('drop', (event) => {
    if (!carries(event)) return;
    const taken = event.defaultPrevented; // by a place that wants another kind of file
    event.preventDefault();
    depth = 0;
    mark(false);
    const file = event.dataTransfer.files[0];
    if (file && !taken) commands.openFile(file);
  });
}

/** The words on the empty canvas: before a model is open, and when none of its faces could be read. */
export function mountWelcome(root, store) {
  store.watch(
    ({ work }) => [work.model, work.busy],
    ({ work }) =>
      replace(root, words(work)),
  );
}


function words({ model, busy }) {
  if (busy) return null;
  if (!model) {
    // One file has nothing beside it.
    const course = !single && el('p', {}, el('a', { href: 'embedding.html' }, texts.welcome.course));
    return [el('h2', {}, texts.welcome.title), el('p', {}, texts.welcome.body), course];
  }
  const nothing = faceTotal(model.summary) === 0 && model.summary.import.meshes.length === 0;
  return nothing ? [el('h2', {}, texts.welcome.blank), el('p', {}, texts.welcome.blankBody)] : null;
}
