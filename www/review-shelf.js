// Where the browser keeps reviews: one record a model, {hash, saved: ms, text: that of a review file}, and, put aside, those that could
// not be read. Every promise here may be refused: frames without an origin, private windows and full disks keep nothing.

const NAME = 'rakelight';
const VERSION = 1;
/** Reviews that are kept; beyond, the oldest go. */
const MOST = 50;
/** Records put aside that are kept. */
const MOST_ASIDE = 10;
/** How long the browser may take to open its storage, ms. Some never answer. */
const PATIENCE = 8000;

/** `key`: what is kept under it is apart from what others keep of the same model; empty for none. */
export function createShelf(key) {
  const named = (hash) => (key ? `${hash} ${key}` : hash);
  let db = null;
  let opening = null;

  function opened() {
    opening ??= open()
      .then((one) => {
        db = one;
        const gone = () => {
          if (db === one) db = null;
        };
        one.onclose = gone;
        one.onversionchange = () => {
          one.close();
          gone();
        };
      })
      .finally(() => (opening = null));
    return opening;
  }

  /** Runs `work(transaction)` at once where the storage is open: a page that is being closed has no other turn. */
  async function run(mode, work) {
    if (!db) await opened();
    let transaction;
    try {
      transaction = begin(db, mode);
    } catch {
      // It was closed under us.
      db = null;
      await opened();
      transaction = begin(db, mode);
    }
    const answer = work(transaction);
    await finished(transaction);
    return answer?.result;
  }

  return {
    /** The record of a model, or undefined. */
    get: (hash) => run('readonly', (all) => all.objectStore('reviews').get(named(hash))),
    /** Keeps a record, and lets go of the oldest ones. */
    put: (one) =>
      run('readwrite', (all) => {
        const record = { ...one, hash: named(one.hash) };
        const store = all.objectStore('reviews');
        store.put(record);
        letGo(store, store.index('saved'), MOST, record.hash);
      }),
    /** Takes a record that could not be read away from the others. */
    setAside: (record) =>
      run('readwrite', (all) => {
        all.objectStore('reviews').delete(record.hash);
        const aside = all.objectStore('aside');
        aside.add(record);
        letGo(aside, aside, MOST_ASIDE);
      }),
  };
}

function open() {
  return new Promise((resolve, refuse) => {
    const request = indexedDB.open(NAME, VERSION);
    const late = setTimeout(() => refuse(new Error('the storage does not answer')), PATIENCE);
    request.onupgradeneeded = () => {
      request.result.createObjectStore('reviews', { keyPath: 'hash' }).createIndex('saved', 'saved');
      request.result.createObjectStore('aside', { autoIncrement: true });
    };
    request.onsuccess = () => {
      clearTimeout(late);
      resolve(request.result);
    };
    request.onerror = () => {
      clearTimeout(late);
      refuse(request.error);
    };
  });
}

/** On the disk before it counts as done: a browser that is killed a moment later has it. */
const begin = (db, mode) => db.transaction(['reviews', 'aside'], mode, { durability: 'strict' });

const finished = (transaction) =>
  new Promise((resolve, refuse) => {
    transaction.oncomplete = () => resolve();
    transaction.onerror = transaction.onabort = () => refuse(transaction.error ?? new Error('nothing was kept'));
  });

/** Deletes the first ones of an order beyond `most`, but not the one just put. */
function letGo(store, order, most, put) {
  const counted = store.count();
  counted.onsuccess = () => {
    let over = counted.result - most;
    if (over <= 0) return;
    const request = order.openCursor();
    request.onsuccess = () => {
      const cursor = request.result;
      if (!cursor || over <= 0) return;
      if (cursor.primaryKey !== put) {
        cursor.delete();
        over -= 1;
      }
      cursor.continue();
    };
  };
}
