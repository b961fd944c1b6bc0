// The service worker: keeps all files of one version of the site and answers from them, so that the page works without a network and never
// has files of two versions. It knows nothing of models and reviews. The page's side: offline.js.
'use strict';

// Which files make the site, by name, with the SHA-256 of each.
const VERSION = null; // written by the packer
const FILES = null; // written by the packer

/** The folder that the site lies in, with a slash at its end. */
const scope = self.registration.scope;

/** Other sites of the same origin, and other places of this one, have caches there too. */
const OURS = `rakelight ${scope} `;
const CACHE = OURS + VERSION;

/** Files fetched at once. More gain nothing, fewer wait for each other. */
const AT_ONCE = 6;

/** What was true of the bytes on their way only, or would keep a file from being found again. */
const NOT_KEPT = ['content-encoding', 'content-length', 'transfer-encoding', 'vary'];

const addressOf = (name) => new URL(name.split('/').map(encodeURIComponent).join('/'), scope).href;

addEventListener('install', (event) => event.waitUntil(gather().catch(giveUp)));
addEventListener('activate', (event) => event.waitUntil(tidy()));
addEventListener('fetch', (event) => {
  const name = nameOf(event.request);
  if (name !== null) event.respondWith(answer(event, name));
});
addEventListener('message', (event) => {
  const [port] = event.ports;
  event.waitUntil(reply(event.data).then((said) => port.postMessage(said)));
});

/** Keeps every file of this version. */
async function gather() {
  const cache = await caches.open(CACHE);
  const names = Object.keys(FILES);
  const take = async () => {
    while (names.length > 0) await keep(cache, names.pop());
  };
  await Promise.all(Array.from({ length: AT_ONCE }, take));
}

/** Nothing is left of a version of which a file was missing or another one: the version before stays. */
async function giveUp(error) {
  await caches.delete(CACHE);
  throw error;
}

/** Keeps a file: the one there is, if it has not changed since the version before, else the host's. */
async function keep(cache, name) {
  const address = addressOf(name);
  for (const bring of [() => caches.match(address), () => fetch(address, { cache: 'no-cache' })]) {
    const response = await bring();
    if (!response?.ok) continue;
    const bytes = await response.arrayBuffer();
    if ((await hashOf(bytes)) !== FILES[name]) continue;
    const headers = new Headers(response.headers);
    NOT_KEPT.forEach((header) => headers.delete(header));
    // Made anew: a host may have redirected, and a redirected answer shows no page.
    await cache.put(address, new Response(bytes, { headers }));
    return;
  }
  throw new Error(`${name} is not the file of this version`);
}

async function hashOf(bytes) {
  const hash = new Uint8Array(await crypto.subtle.digest('SHA-256', bytes));
  return Array.from(hash, (byte) => byte.toString(16).padStart(2, '0')).join('');
}

/** Lets go of our versions before this one. */
async function tidy() {
  const before = (await caches.keys()).filter((name) => name.startsWith(OURS) && name !== CACHE);
  await Promise.all(before.map((name) => caches.delete(name)));
}

/** The file of the site that is asked for; null for everything else, which goes on to the network as if there were nobody here. */
function nameOf({ method, url }) {
  if (method !== 'GET' || !url.startsWith(scope)) return null;
  const { pathname, search } = new URL(url);
  let name;
  try {
    name = decodeURIComponent(pathname.slice(new URL(scope).pathname.length)) || 'index.html';
  } catch {
    return null;
  }
  // What follows the question mark is a page's own business.
  return Object.hasOwn(FILES, name) && (!search || name.endsWith('.html')) ? name : null;
}

async function answer({ request }, name) {
  const kept = await caches.match(addressOf(name), { cacheName: CACHE }).catch(() => undefined);
  return kept ?? fetch(request);
}

/** Where the browser has let go of the cache, all files come from the host, and are kept again if they are still those of this version. */
async function whole() {
  const kept = await (await caches.open(CACHE)).keys();
  if (kept.length < Object.keys(FILES).length) await gather();
  return true;
}

async function reply({ type, version }) {
  if (type === 'version') return VERSION;
  if (type === 'claim') {
    // A page of another version goes on with its own files.
    if (version !== VERSION) return false;
    await clients.claim();
    return whole().catch(() => false);
  }
  if (type === 'take') {
    // Other tabs run on files of the version before, and would get some of this one.
    const tabs = (await clients.matchAll({ type: 'window', includeUncontrolled: true })).filter(({ url }) => url.startsWith(scope));
    if (tabs.length > 1) return tabs.length - 1;
    self.skipWaiting();
    return 0;
  }
  return null;
}
