// The page without a network: a service worker (sw.js) keeps all files of one version. This asks for it, and says when there is a newer one.

import { idle, written } from './keeping.js';

/** What this page is of. */
const STATED = 'the packer writes the version here';
const VERSION = STATED.includes(' ') ? null : STATED;

/** From the start of a first visit to the keeping of files, ms. Shorter competes with the first model for network and processor, and takes
 * from visits that are over by then; longer is past the end of many first visits. */
const LATER = 15000;

/** Within this time of its start a page that nobody has touched takes a newer version by itself, ms. Longer takes a page away that somebody reads. */
const FRESH = 20000;

/** How often a page that stays open asks for a newer version, ms. */
const OFTEN = 3600 * 1000;

/** What a person does with a page. */
const TOUCHES = ['pointerdown', 'keydown', 'wheel', 'drop', 'change'];

const HERE = new URL('.', document.baseURI).href;

/** The browser's registry of service workers; null where there is none for this page: from disk, in frames without an origin, where storage is denied. */
function registry() {
  try {
    return VERSION && self.origin !== 'null' && self.isSecureContext && /^https?:$/.test(location.protocol) ? (navigator.serviceWorker ?? null) : null;
  } catch {
    return null;
  }
}

function ask(worker, wish) {
  return new Promise((done) => {
    const { port1, port2 } = new MessageChannel();
    port1.onmessage = ({ data }) => done(data);
    worker.postMessage(wish, [port2]);
  });
}

/** take(), later(): what is done about a newer version; touch(): somebody uses the page. */
export function createOffline(store) {
  const workers = registry();
  let registration = null;
  let touched = false;
  let controlled = false;
  let again = false; // this is not the first visit
  const set = (offline) => store.dispatch({ type: 'set-offline', offline });
  const touch = () => {
    touched = true;
  };

  async function begin() {
    again = controlled = workers.controller !== null;
    workers.addEventListener('controllerchange', changed);
    const there = await workers.getRegistration(HERE);
    if (there?.scope === HERE) {
      watch(there);
      // One that waits already is taken before anything is open.
      if (there.waiting) await look();
      await update();
      return look();
    }
    await new Promise((done) => setTimeout(done, LATER));
    await idle(store);
    set({ where: 'coming' });
    watch(await workers.register('sw.js', { scope: HERE }));
    return look();
  }

  /** Another version has this page: only one that was opened in the very moment of the change, so there is nothing to lose. */
  function changed() {
    if (controlled) location.reload();
    controlled = true;
  }

  function watch(one) {
    registration = one;
    registration.addEventListener('updatefound', follow);
    follow();
    setInterval(update, OFTEN);
  }

  /** Asks the host; without a network there is nothing newer. */
  const update = () => registration.update().catch(() => {});

  function follow() {
    registration.installing?.addEventListener('statechange', look);
  }

  async function look() {
    const { installing, waiting, active } = registration;
    // The first one passes from waiting to active by itself.
    if (!active) return set({ where: installing || waiting ? 'coming' : 'none' });
    if (installing) return undefined;
    const version = await ask(waiting ?? active, { type: 'version' });
    if (version !== VERSION) return newer(waiting);
    // The page came past the service worker, from the host, and is ahead of it.
    if (waiting) return ask(waiting, { type: 'take' });
    const whole = await ask(active, { type: 'claim', version });
    // Who has come again may want the rest one day without a network.
    if (whole && again) idle(store).then(() => ask(active, { type: 'spare' }));
    again = false;
    return set({ where: whole ? 'ready' : 'none', shown: false });
  }

  async function newer(waiting) {
    if (waiting && !touched && performance.now() < FRESH && (await take()) === 0) return;
    set({ where: 'newer', shown: true });
  }

  /** Loads the page in the newer version; gives how many other tabs are in the way of that. */
  async function take() {
    const { waiting } = registration;
    if (!waiting) return location.reload(); // the page is behind the service worker there is
    await written(store);
    const taken = new Promise((done) => waiting.addEventListener('statechange', () => waiting.state === 'activated' && done()));
    const others = await ask(waiting, { type: 'take' });
    set({ others });
    // A page that the service worker has not had yet hears nothing of the change.
    if (others === 0) taken.then(() => location.reload());
    return others;
  }

  if (workers) {
    TOUCHES.forEach((kind) => addEventListener(kind, touch, { capture: true, once: true, passive: true }));
    // Whatever keeps it from working, the page does without.
    begin().catch(() => set({ where: 'none' }));
  }

  return { take, touch, later: () => set({ shown: false }) };
}
