// Which tab holds a review: the browser's own locks, which end with the tab, however that ends.

/** Where the browser has no locks for this page, every tab may write. */
const FREE = { held: true, release: async () => {} };

/** Pause before a lock that another tab has is asked for again, ms: a page that is loaded anew still has its own for a moment. */
const AGAIN = 400;

/** {held, release()}: the lock of a name, if no other tab has it. `onLost()` is called when another tab takes it over. */
export async function takeLock(name, onLost) {
  const first = await request(name, { ifAvailable: true }, onLost);
  if (first.held) return first;
  await new Promise((next) => setTimeout(next, AGAIN));
  return request(name, { ifAvailable: true }, onLost);
}

/** The same, taken from whoever has it. */
export const stealLock = (name, onLost) => request(name, { steal: true }, onLost);

function request(name, options, onLost) {
  return new Promise((settle) => {
    let held = false;
    let open = null;
    const asked = async () =>
      navigator.locks.request(name, options, (lock) => {
        if (!lock) return settle({ held: false, release: async () => {} });
        held = true;
        const kept = new Promise((done) => (open = done));
        settle({ held: true, release: () => (open(), ended) });
        return kept;
      });
    // Frames without an origin may not ask; a lock that was taken over ends by an error.
    const ended = asked().catch(() => (held ? onLost() : settle(FREE)));
  });
}
