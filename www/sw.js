// The service worker: keeps all files of one version of the site and answers from them, so that the page works without a network and never
// has files of two versions. What few visits need it keeps when it was first asked for, or when told to. It knows nothing of models and
// reviews. The page's side: offline.js.
'use strict';

// Which files make the site, by name, with the SHA-256 of each.
const VERSION = 'the packer writes the version here';
const FILES = null; // written by the packer
const SPARE = null; // written by the packer: those that few visits need

/** The folder that the site lies in, with a slash at its end. */
const scope = self.registration.scope;

/** Other sites of the same origin, and other places of this one, have caches there too. */
const OURS = `rakelight ${scope} `;
const CACHE = OURS + VERSION;

/** Files fetched at once. More gain nothing, fewer wait for each other. */
const AT_ONCE = 6;

/** What was true of the bytes on their way only, or would keep a file from being found again. */
const NOT_KEPT = ['content-encoding', 'content-length', 'transfer-encoding', 'vary'];

const needed = Object.keys(FILES).filter((name) => !SPARE.includes(name));

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

/** Keeps every file of this version, the spare ones where they are here already. */
async function gather() {
  const cache = await caches.open(CACHE);
  const names = [...needed];
  const take = async () => {
    while (names.length > 0) await keep(cache, names.pop());
  };
  await Promise.all(Array.from({ length: AT_ONCE }, take));
  await Promise.all(SPARE.map((name) => keep(cache, name, [kept]).catch(() => {})));
}

/** Nothing is left of a version of which a file was missing or another one: the version before stays. */
async function giveUp(error) {
  await caches.delete(CACHE);
  throw error;
}

const kept = (address) => caches.match(address);
const fetched = (address) => fetch(address, { cache: 'no-cache' });

/** Keeps a file: the one there is, if it has not changed since the version before, else the host's. */
async function keep(cache, name, ways = [kept, fetched]) {
  const address = addressOf(name);
  for (const bring of ways) {
    const response = await bring(address);
    if (!response?.ok) continue;
    const bytes = await response.arrayBuffer();
    if ((await hashOf(bytes)) !== FILES[name]) continue;
    const headers = new Headers(response.headers);
    NOT_KEPT.forEach((header) => headers.delete(header));
    // Made anew: a host may have redirected, and a redirected answer shows no page.
    const file = new Response(bytes, { headers });
    await cache.put(address, file.clone()).catch((error) => {
      // What cannot be kept can be used: there may be no room for a spare one.
      if (needed.includes(name)) throw error;
    });
    return file;
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
  const there = await caches.match(addressOf(name), { cacheName: CACHE }).catch(() => undefined);
  // A page that is opened stands for itself.
  if (there || !SPARE.includes(name) || request.mode === 'navigate') return there ?? fetch(request);
  try {
    return await keep(await caches.open(CACHE), name);
  } catch (error) {
    // No network, or a host that has another version's by now, which this version's page is not to get.
    return error instanceof TypeError ? Response.error() : new Response(null, { status: 409 });
  }
}

/** Where the browser has let go of the cache, all files come from the host, and are kept again if they are still those of this version. */
async function whole() {
  const there = new Set((await (await caches.open(CACHE)).keys()).map(({ url }) => url));
  // Not a part of them: the host may go on to another version meanwhile.
  if (needed.some((name) => !there.has(addressOf(name)))) await gather().catch(giveUp);
  return true;
}

/** Keeps the spare files too. */
async function spare() {
  const cache = await caches.open(CACHE);
  for (const name of SPARE) (await cache.match(addressOf(name))) ?? (await keep(cache, name).catch(() => {}));
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
  if (type === 'spare') return spare();
  if (type === 'take') {
    // Other tabs run on files of the version before, and would get some of this one.
    const tabs = (await clients.matchAll({ type: 'window', includeUncontrolled: true })).filter(({ url }) => url.startsWith(scope));
    if (tabs.length > 1) return tabs.length - 1;
    self.skipWaiting();
    return 0;
  }
  return null;
}
