// Which tab holds a review: the browser's own locks, which end with the tab, however that ends.

/** Where the browser has no locks for this page, every tab may write. */
const FREE = { held: true, release: async () => {} };

/** Another tab has it. */
const OTHERS = { held: false, release: async () => {} };

/** How long a lock that another tab has is waited for, ms: a page that is loaded anew still has its own for a moment. */
const PATIENCE = 2000;

/** {held, release()}: the lock of a name, if no other tab has it. `onLost()` is called when another tab takes it over. */
export async function takeLock(name, onLost) {
  const first = await request(name, { ifAvailable: true }, onLost);
  if (first.held) return first;
  return request(name, { signal: AbortSignal.timeout(PATIENCE) }, onLost);
}

/** The same, taken from whoever has it. */
export const stealLock = (name, onLost) => request(name, { steal: true }, onLost);

function request(name, options, onLost) {
  return new Promise((settle) => {
    let held = false;
    let open = null;
    const asked = async () =>
      navigator.locks.request(name, options, (lock) => {
        if (!lock) return settle(OTHERS);
        held = true;
        const kept = new Promise((done) => (open = done));
        settle({ held: true, release: () => (open(), ended) });
        return kept;
      });
    // Frames without an origin may not ask; a lock that was taken over ends by an error, and so does waiting for one.
    const ended = asked().catch((error) => {
      if (held) onLost();
      else settle(error?.name === 'TimeoutError' ? OTHERS : FREE);
    });
  });
}
