// One worker for all elements of a page, one model after the other; it is ended when nothing more is asked.

import { FROM_WORKER, message } from './protocol.js';
import { newWorker } from './workers.js';

/** How long a worker that has nothing to do is kept, ms: models that come one after the other need not start one each. */
const LINGER = 1500;

let worker = null;
let running = null;
let resting = 0; // handle of its end
let count = 0;
const queue = [];

/**
 * Asks for a model. `wish`: fields of the message `open` (protocol.js) but for the job; `form`: what colours by form need is asked for too;
 * `on`: a listener a message, and `ended()` after the last. Returns what lets go of it.
 */
export function enqueue(module, wish, form, on) {
  const job = { module, wish, form, on, number: ++count };
  queue.push(job);
  next();
  return () => {
    const at = queue.indexOf(job);
    if (at >= 0) queue.splice(at, 1);
    if (running === job) end(true);
  };
}

function next() {
  clearTimeout(resting);
  if (running) return;
  running = queue.shift() ?? null;
  if (!running) {
    resting = setTimeout(stop, LINGER);
    return;
  }
  const { module, wish, number } = running;
  worker ??= started(module);
  worker.postMessage(message('open', { job: number, ...wish }), [wish.bytes]);
}

function started(module) {
  const made = newWorker();
  const crashed = (reason) => made === worker && running && fail({ message: reason, entity: null, line: null, kind: 'crash' });
  made.onmessage = ({ data }) => made === worker && receive(data);
  made.onerror = (event) => {
    event.preventDefault();
    crashed(event.message ?? '');
  };
  made.onmessageerror = () => crashed('');
  made.postMessage(message('start', { module }));
  return made;
}

function stop() {
  worker?.terminate();
  worker = null;
}

function receive(data) {
  if (!running || data.job !== running.number || !FROM_WORKER[data.type]) return; // a late word for one that was let go
  if (data.type === 'failed') {
    fail(data.error);
    return;
  }
  running.on[data.type]?.(data);
  if (data.type === 'done' && running?.form) worker.postMessage(message('form', { job: running.number }));
  else if (data.type === 'done' || data.type === 'form') end(false);
}

/** What fails may leave an instance of the module in pieces. */
function fail(error) {
  const { on } = running;
  end(true);
  on.failed(error);
}

function end(drop) {
  const { on } = running;
  running = null;
  if (drop) stop();
  on.ended?.();
  next();
}
