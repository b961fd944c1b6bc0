// Judging anew when limits change: one request is on its way at a time, and the next one takes the limits as they are then.

/** `workers`: grade(yardstick, limits). */
export function createGrading(store, workers) {
  let waiting = 0; // job that has not been answered
  let stale = false; // limits have changed since it was sent

  function ask() {
    const { yardstick, limits } = store.state.review;
    stale = false;
    waiting = workers.grade(yardstick, limits[yardstick]);
  }

  return {
    /** Limits have changed. A drag asks as often as answers come, not once a pixel. */
    changed() {
      if (waiting) stale = true;
      else ask();
    },
    /** All findings of a job have come. */
    answered(job) {
      if (job !== waiting) return;
      waiting = 0;
      if (stale) ask();
    },
    /** Asks now, whatever is on its way: what is sent next counts on it. */
    flush: ask,
    /** There is another worker, or none: nothing will be answered. */
    forget() {
      waiting = 0;
      stale = false;
    },
  };
}
