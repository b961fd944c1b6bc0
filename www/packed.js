// What the page holds where it is one file: the module, the worker's script, and a model and a review where they were put into it. The
// packer writes it (web/pack/src/single), and so does the page itself (single-verbs.js).

const at = (id) => document.getElementById(id);
const place = document.querySelector('script[type="application/json"]#packed');

/** True where the page is one file: nothing lies beside it, and it reaches nowhere. */
export const single = place !== null;

/** {key: under which the browser keeps what is made in this file; model: {name, gzip: base64} or null; review: text of a review file or null}. */
export const held = Object.freeze(single ? JSON.parse(place.textContent) : { key: '', model: null, review: null });

/** The page as it was before anything was shown in it, without model and review; empty where it is not one file. */
export const blank = single ? takeBlank() : '';

function takeBlank() {
  place.textContent = '';
  return `<!doctype html>\n${document.documentElement.outerHTML}\n`;
}

/** Bytes of the module. */
export const moduleBytes = () => unpacked(at('packed-wasm').textContent);

/** The worker's script, with what it needs before it. */
export const workerScript = () => `${at('packed-bindings').textContent}\n${at('packed-worker').textContent}`;

/** An ArrayBuffer out of bytes that were packed by gzip and written as base64. */
export function unpacked(base64) {
  const bytes = Uint8Array.fromBase64?.(base64) ?? Uint8Array.from(atob(base64), (character) => character.charCodeAt(0));
  return new Response(new Blob([bytes]).stream().pipeThrough(new DecompressionStream('gzip'))).arrayBuffer();
}

/** The other way. */
export async function packed(bytes) {
  const gzip = await new Response(new Blob([bytes]).stream().pipeThrough(new CompressionStream('gzip'))).blob();
  const address = await new Promise((done, fail) => {
    const reader = new FileReader();
    reader.onload = () => done(reader.result);
    reader.onerror = () => fail(reader.error);
    reader.readAsDataURL(gzip);
  });
  return address.slice(address.indexOf(',') + 1);
}

/** Parts of a page like `blank` with other contents, as `held` has them. */
export function filled(page, contents) {
  const sign = ' id="packed">';
  const start = page.indexOf(sign) + sign.length;
  // Nothing that is written there has a “less than”: it would end the element, and a part of what stands there would be taken for markup.
  const end = page.indexOf('<', start);
  return [page.slice(0, start), JSON.stringify(contents).replaceAll('<', '\\u003c'), page.slice(end)];
}

/** A key that no other file has. */
export const newKey = () => Array.from(crypto.getRandomValues(new Uint8Array(16)), (byte) => byte.toString(16).padStart(2, '0')).join('');
