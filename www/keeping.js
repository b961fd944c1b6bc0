// Keeps the review in the browser's own storage, by the hash of the model's bytes, and brings it back when that model is opened again.

import { besideOthers, ownPart } from './own-part.js';
import { held } from './packed.js';
import { freshReview, readReview, renamed, reviewOn, writeReview } from './review-file.js';
import { stealLock, takeLock } from './review-lock.js';
import { createShelf } from './review-shelf.js';
import { INITIAL } from './state.js';
import { texts } from './texts.js';

const words = texts.keeping;

/** From a change to its keeping, ms. Longer loses more when the browser is killed; shorter writes at every step of a drag. */
const PAUSE = 300;

/** Parts that are about one model, so that a person should know when they go on for another. */
const ABOUT_ONE = ['limits', 'plane', 'search', 'making', 'sections', 'underlay', 'checklist'];

/** Files from disk share one storage, so each has a key of its own. */
const lockOf = (hash) => `rakelight review ${hash}${held.key && ` ${held.key}`}`;

/** Resolves when the state passes a test. */
function when(store, test) {
  return new Promise((done) => {
    if (test(store.state)) return done();
    const stop = store.subscribe((state) => {
      if (!test(state)) return;
      stop();
      done();
    });
  });
}

/** Resolves when no import runs. */
export const idle = (store) => when(store, ({ work }) => !work.busy);

/** Resolves when nothing of the review waits to be written. */
export const written = (store) => when(store, ({ work }) => !['reading', 'saving'].includes(work.keeping.where));

/** True where a review asks for other joins than the open model's were found with. */
export const asksForJoins = ({ search, plane }, now) => search !== now.search || JSON.stringify(plane) !== JSON.stringify(now.plane);

/** What is written of the page now, for `model` as work.model has it. */
export function reviewText({ work, review }, model, scene) {
  const { name, size, summary } = model;
  return writeReview({ model: { name, size, hash: summary.hash }, review, view: { pass: work.pass, camera: scene.bound() }, saved: new Date() });
}

export function createKeeping(store, scene) {
  const shelf = createShelf(held.key);
  // What is kept now: {hash, model, lock, dirty: changed since it was written, own: changed while another tab held it, blind: what is kept
  // could not be looked at, so nothing may be written over it; found: something was kept}; null without a model.
  let open = null;
  let timer = 0;
  let arrived = Promise.resolve(); // when what was kept of the open model is there
  let left = Promise.resolve(); // when the model before has been let go of
  let bringing = false; // a kept review is being put in place
  let told = false; // it was told that nothing is kept

  const set = (keeping, say) => store.dispatch({ type: 'set-keeping', keeping, say });

  store.subscribe((state, before) => {
    const { model } = state.work;
    const hash = model?.summary.hash ?? null;
    if (hash !== (open?.hash ?? null)) turnTo(model, hash);
    else if (open && model !== open.model) readAgain(model);
    if (open && state.review !== before.review && !bringing) changed();
  });
  addEventListener('pagehide', () => flush());
  document.addEventListener('visibilitychange', () => document.visibilityState === 'hidden' && flush());

  function turnTo(model, hash) {
    const before = open;
    if (before) left = leave(before);
    open = hash && { hash, model, lock: null, dirty: false, own: false, blind: false, found: false };
    set({ where: hash ? 'reading' : 'none', held: null, back: null, carried: null, broken: null, unkept: null });
    if (open) arrived = arrive(open, before);
  }

  /** The same bytes again, perhaps under another name. */
  function readAgain(model) {
    const was = open.model.name;
    open.model = model;
    if (model.name !== was) put(renamed(store.state.review, was, model.name), { forget: true });
  }

  async function leave(one) {
    clearTimeout(timer);
    timer = 0;
    if (one.dirty) await write(one);
    await one.lock?.release();
  }

  /** Puts back what was kept of the model. */
  async function arrive(one, before) {
    await left;
    const lock = await takeLock(lockOf(one.hash), () => lost(one, lock));
    if (one !== open) return lock.release();
    one.lock = lock;
    let kept;
    try {
      kept = await shelf.get(one.hash);
    } catch {
      one.blind = true;
    }
    if (one !== open) return undefined;
    one.found = kept !== undefined;
    const file = kept && (await read(kept, one));
    if (one !== open) return undefined;
    if (!file && before?.model.name === one.model.name) leaveBehind(one.model);
    if (file) await bringBack(file, one);
    else if (before && !one.blind && one.lock.held && goesOn(store.state.review)) set({ carried: before.model.name });
    if (one === open) settle(one);
    return undefined;
  }

  /** Judgements and pins lie on the page by their model's name, which a revision may share with the one before: they are of other faces. */
  function leaveBehind({ name }) {
    const { review } = store.state;
    put(besideOthers({ ...ownPart(review, name), marks: {}, pins: [] }, name, review), {});
    if (store.state.review !== review) store.dispatch({ type: 'notice', notice: words.behind(name), say: words.behind(name) });
  }

  function settle(one) {
    if (one.blind) {
      set({ where: 'nowhere' });
      if (one.dirty) tellUnkept(words.nowhere);
    } else if (!one.lock.held) {
      one.own = one.dirty;
      set({ where: 'elsewhere', held: 'elsewhere' }, words.elsewhere);
    } else if (one.dirty) {
      set({ where: 'saving' });
      write(one);
    } else set({ where: 'here' });
  }

  /** The file in a kept record; null where it cannot be read, which is told, and the record put aside. */
  async function read(kept, one) {
    try {
      const file = readReview(String(kept.text));
      if (file.model.hash !== one.hash) throw new Error(texts.outside.at('model.hash', texts.outside.hash));
      return file;
    } catch (error) {
      const { name } = one.model;
      set({ broken: { name, why: error.message, text: String(kept.text) } }, words.broken(name, error.message));
      // Where even that fails, it stays where it is and nothing is written over it.
      await shelf.setAside(kept).catch(() => (one.blind = true));
      return null;
    }
  }

  async function bringBack(file, one) {
    if (asksForJoins(file.review, store.state.review)) await idle(store);
    if (one !== open) return;
    const { review } = store.state;
    const next = reviewOn(file, one.model.name, review);
    const back = { name: one.model.name, saved: file.saved };
    // What has been changed meanwhile is a step back; else the review begins with what was kept.
    put(next, one.dirty ? {} : { forget: true });
    // In a second tab there is more to say than that.
    if (one.lock.held) set({ back });
  }

  function put(review, more) {
    bringing = true;
    store.dispatch({ type: 'open-review', review, ...more });
    bringing = false;
  }

  function changed() {
    const one = open;
    one.dirty = true;
    // The reviewer goes on from what came back.
    const { back, carried } = store.state.work.keeping;
    if (back || carried) set({ back: null, carried: null });
    if (store.state.work.keeping.where === 'reading') return; // settled when what was kept is there
    if (one.blind) return tellUnkept(words.nowhere);
    if (!one.lock?.held) {
      one.own = true;
      return;
    }
    if (store.state.work.keeping.where !== 'saving') set({ where: 'saving' });
    timer ||= setTimeout(flush, PAUSE);
  }

  function tellUnkept(unkept) {
    if (!told) set({ unkept, where: 'nowhere' }, unkept);
    told = true;
  }

  /** Writes what has changed, now. */
  function flush() {
    clearTimeout(timer);
    timer = 0;
    if (open?.dirty && open.lock?.held && !open.blind && store.state.work.keeping.where !== 'reading') write(open);
  }

  async function write(one) {
    if (one.blind || !one.lock?.held) return;
    one.dirty = false;
    const saved = Date.now();
    try {
      await shelf.put({ hash: one.hash, saved, text: reviewText(store.state, one.model, scene) });
      if (one !== open || one.dirty || !one.lock.held) return;
      set({ where: 'here', unkept: null });
      told = false;
    } catch {
      if (one !== open) return;
      one.dirty = true; // the next change tries again
      set({ where: 'nowhere' });
      tellUnkept(words.failed);
    }
  }

  /** Another tab has taken the review over. */
  function lost(one, lock) {
    if (one.lock !== lock || one !== open) return;
    lock.held = false;
    one.own ||= one.dirty;
    clearTimeout(timer);
    timer = 0;
    set({ where: 'taken', held: 'taken' }, words.taken);
  }

  /** Takes the review over from the tab that holds it. What either tab had can be gone back to. */
  async function takeOver() {
    const one = open;
    if (!one || one.lock?.held) return;
    const lock = await stealLock(lockOf(one.hash), () => lost(one, lock));
    if (one !== open) {
      await lock.release();
      return;
    }
    one.lock = lock;
    const kept = await shelf.get(one.hash).catch(() => undefined);
    const file = kept && (await read(kept, one));
    if (one !== open || !lock.held) return;
    const mine = store.state.review;
    if (file) {
      if (asksForJoins(file.review, mine)) await idle(store);
      put(reviewOn(file, one.model.name, mine));
      if (one.own) put(mine);
    }
    one.dirty = one.own;
    set({ held: null, back: null }, one.own && file ? words.takenOverBoth : words.takenOver);
    one.own = false;
    settle(one);
  }

  /** The review as before anything was said, as a step that can be undone. */
  function afresh() {
    set({ back: null, carried: null });
    const { name } = store.state.work.model;
    store.dispatch({ type: 'open-review', review: freshReview(name, store.state.review), say: words.fresh });
  }

  return {
    /** Resolves when what was kept of the open model is in place. */
    settled: () => arrived,
    /** True where something was kept of the open model. */
    found: () => open?.found ?? false,
    /** What is kept of another model, by the hash of its bytes: as readReview gives it, null where there is nothing that can be read. */
    async keptOf(hash) {
      await left;
      try {
        const file = readReview(String((await shelf.get(hash)).text));
        return file.model.hash === hash ? file : null;
      } catch {
        return null;
      }
    },
    takeOver,
    afresh,
    close: (name) => set({ [name]: null }),
  };
}

/** True where something that is about one model is set. */
const goesOn = (review) => review.zones.rules.length > 0 || ABOUT_ONE.some((part) => JSON.stringify(review[part]) !== JSON.stringify(INITIAL.review[part]));
