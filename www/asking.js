// Asking the worker as often as it answers: one request is on its way at a time, and the next one takes things as they are then.

/** `send()` asks and returns the job's number, 0 when there was nobody or nothing to ask. */
export function createAsking(send) {
  let waiting = 0; // job that has not been answered
  let stale = false; // what is asked has changed since it was sent

  function ask() {
    stale = false;
    waiting = send();
  }

  return {
    /** What is asked has changed. A drag asks as often as answers come, not once a pixel. */
    changed() {
      if (waiting) stale = true;
      else ask();
    },
    /** All of a job's answer has come. */
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
