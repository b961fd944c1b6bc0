// The page as one file, with the open model and its review in it: made, told of, saved. And what such a file brings, put in place.

import { reviewText } from './keeping.js';
import { blank, filled, held, newKey, packed, single } from './packed.js';
import { saveFile, stem } from './save-file.js';
import { texts } from './texts.js';

const words = texts.single;

/** Where the packer puts the page as one file, without a model. */
const TEMPLATE = 'single.html';

/** `commands.bytes()` brings the open model's bytes again. */
export function createSingle(store, scene, commands, reviews, keeping) {
  let made = null; // {page, model: {name, gzip}, of: work.model}
  let run = 0;

  // What was made is of that model.
  store.subscribe(({ work }, before) => {
    if (work.model !== before.work.model && work.single) leave();
  });

  const contents = ({ model }) => ({ key: newKey(), model, review: reviewText(store.state, store.state.work.model, scene) });

  async function make() {
    const { model, busy } = store.state.work;
    if (!model || busy || store.state.work.single) return;
    const mine = ++run;
    store.dispatch({ type: 'set-single', single: { size: 0 } });
    try {
      const [page, bytes] = await Promise.all([single ? blank : template(), commands.bytes()]);
      await same(bytes, model);
      const gzip = await packed(bytes);
      if (mine !== run) return;
      made = { page, model: { name: model.name, gzip } };
      const size = (parts) => new Blob(parts).size;
      const whole = contents(made);
      const sizes = { size: size(filled(page, whole)), model: size([gzip]), review: size([whole.review]) };
      store.dispatch({ type: 'set-single', single: sizes });
    } catch (error) {
      if (mine !== run) return;
      leave();
      store.dispatch({ type: 'notice', notice: words.failed(error.message), say: words.failed(error.message) });
    }
  }

  function leave() {
    run += 1;
    made = null;
    store.dispatch({ type: 'set-single', single: null });
  }

  return {
    make,
    leave,
    /** Saves what was made, with the review as it is now. */
    save() {
      if (!made) return;
      saveFile(store, new Blob(filled(made.page, contents(made))), `${stem(made.model.name)}.rakelight.html`, 'text/html');
      leave();
    },
    /** Opens the model that this file holds, and uses its review where the browser has kept none of this file's. */
    async openHeld() {
      if (held.model) await commands.openHeld();
      if (!held.review || (held.model && !(await opened()))) return;
      await keeping.settled();
      if (!keeping.found()) useHeld();
    },
    useHeld,
  };

  /** Resolves when the running import is over: whether a model is open. */
  function opened() {
    return new Promise((done) => {
      const look = ({ work }) => {
        if (!work.model && work.busy) return;
        stop();
        done(work.model !== null);
      };
      const stop = store.subscribe(look);
      look(store.state);
    });
  }

  function useHeld() {
    return reviews.openFile(new File([held.review], words.within));
  }
}

async function template() {
  const response = await fetch(TEMPLATE, { cache: 'no-store' }).catch(() => null);
  if (!response) throw new Error(words.noHost);
  // What sw.js says of a host that has gone on to another version.
  if (!response.ok) throw new Error(response.status === 409 ? words.otherVersion : words.noTemplate);
  return response.text();
}

/** The file may be another one by now. */
async function same(bytes, { size, summary }) {
  const digest = bytes.byteLength === size && crypto.subtle && (await crypto.subtle.digest('SHA-256', bytes));
  const hex = digest && Array.from(new Uint8Array(digest), (byte) => byte.toString(16).padStart(2, '0')).join('');
  // Without a secure context there is no digest, and the size has to do.
  if (bytes.byteLength !== size || (hex && hex !== summary.hash)) throw new Error(words.changed);
}
