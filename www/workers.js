// The only module that talks to workers. Names and shapes: protocol.js.

import { single, workerScript } from './packed.js';
import { FROM_WORKER, message } from './protocol.js';

let script = null; // address of the worker's script where it lies nowhere
let home = null; // where its files lie, where that is not beside the page

/** Says where the worker's files lie: pages of other origins show models too. */
export function workFrom(address) {
  home = address;
}

/**
 * A worker that has not been told anything. A page of another origin, or a frame without one, may start none from an address, only one from a
 * Blob, which in turn may take scripts from anywhere.
 */
export function newWorker() {
  if (single) return ofBlob(workerScript());
  const from = home ?? new URL('.', document.baseURI).href;
  const outside = `self.here = ${JSON.stringify(from)}; importScripts(${JSON.stringify(`${from}worker.js`)});`;
  if (home) return ofBlob(outside);
  try {
    return new Worker('worker.js');
  } catch {
    return ofBlob(outside);
  }
}

function ofBlob(text) {
  script ??= URL.createObjectURL(new Blob([text], { type: 'text/javascript' }));
  return new Worker(script);
}

/**
 * `on`: one listener a message of FROM_WORKER, and `crashed({job, reason, importing})`.
 * One worker holds the open model, at most one more imports the next.
 */
export function createWorkers(on) {
  let module = null;
  let current = null; // holds the open model
  let importing = null; // {worker, job}
  let jobs = 0;
  let traceJob = 0;
  let gradeJob = 0;
  let stripesJob = 0;
  let sharpJob = 0;
  let holdJob = 0;
  let earlierJob = 0;

  function spawn(job) {
    const worker = newWorker();
    worker.onmessage = ({ data }) => receive(worker, data);
    worker.onerror = (event) => {
      event.preventDefault();
      crashed(worker, job, event.message);
    };
    worker.onmessageerror = () => crashed(worker, job, 'a message could not be read');
    worker.postMessage(message('start', { module }));
    return worker;
  }

  function receive(worker, data) {
    const importsNow = importing !== null && worker === importing.worker;
    if (!FROM_WORKER[data.type]) return; // no word of ours
    if (!importsNow && worker !== current) return; // a late word from a worker that was ended
    if (importsNow && data.type === 'model') {
      current?.terminate();
      current = worker;
      importing = null;
      sharpJob = 0;
      gradeJob = data.job;
    }
    if (importsNow && data.type === 'failed') {
      worker.terminate();
      importing = null;
    }
    if (data.type === 'trace' && data.job !== traceJob) return; // another join was asked for since
    if (['held', 'not-held', 'hold-progress'].includes(data.type) && data.job !== holdJob) return; // another reference was asked for since
    if (['revision', 'no-earlier', 'earlier-progress'].includes(data.type) && data.job !== earlierJob) return; // another was asked for since, or none
    if (data.type === 'sharp' && data.job !== sharpJob) return; // of a model that was replaced
    if (['classes', 'findings'].includes(data.type) && data.job < gradeJob) return; // other limits were asked for since
    if (data.type.startsWith('stripes') && data.job !== stripesJob) return; // stopped since
    on[data.type]?.(data);
  }

  function crashed(worker, job, reason) {
    worker.terminate();
    if (importing !== null && worker === importing.worker) {
      importing = null;
      on.crashed({ job, reason, importing: true });
    } else if (worker === current) {
      current = null;
      on.crashed({ job, reason, importing: false });
    }
  }

  return {
    /** Takes the compiled wasm; nothing can be opened before. */
    start(compiled) {
      module = compiled;
    },
    /** Starts an import; one that still runs is ended first. Returns the job's number. */
    open(name, bytes, yardstick, limits, making, zones, reading) {
      this.cancel();
      const job = ++jobs;
      const worker = spawn(job);
      importing = { worker, job };
      worker.postMessage(message('open', { job, name, bytes, yardstick, limits, making, zones, reading }), [bytes]);
      return job;
    },
    /** Ends a running import. True if there was one. */
    cancel() {
      if (importing === null) return false;
      importing.worker.terminate();
      importing = null;
      return true;
    },
    /** Ends the worker of the open model too: nothing more is asked of it. */
    end() {
      this.cancel();
      current?.terminate();
      current = null;
    },
    /** Asks for the trace of a join. */
    trace(join) {
      if (current === null) return;
      traceJob = ++jobs;
      current.postMessage(message('trace', { job: traceJob, join }));
    },
    /** Asks for classes and findings under other limits. Returns the job's number, 0 when there is nobody to ask. */
    grade(yardstick, limits, making, zones) {
      if (current === null) return 0;
      gradeJob = ++jobs;
      current.postMessage(message('grade', { job: gradeJob, yardstick, limits, making, zones }));
      return gradeJob;
    },
    /** Asks for what colours by form need. */
    form() {
      if (current === null) return;
      current.postMessage(message('form', { job: ++jobs }));
    },
    /** Asks for feature lines and corners. */
    lines() {
      if (current === null) return;
      current.postMessage(message('lines', { job: ++jobs }));
    },
    /** Asks for how the model is built of patches. */
    layout() {
      if (current === null) return;
      current.postMessage(message('layout', { job: ++jobs }));
    },
    /** Asks for the control rows that cross the centre plane. */
    centreRows() {
      if (current === null) return;
      current.postMessage(message('centre-rows', { job: ++jobs }));
    },
    /** Asks for values sampled over the faces. Returns the job's number, 0 when there is nobody to ask. */
    maps(view) {
      if (current === null) return 0;
      const job = ++jobs;
      current.postMessage(message('maps', { job, view }));
      return job;
    },
    /** Asks for faces with borders within `chord` mm of their edges. False when there is nobody to ask. */
    sharpen({ faces, chord, tried = false, turn = 0 }) {
      if (current === null) return false;
      sharpJob = ++jobs;
      current.postMessage(message('sharpen', { job: sharpJob, faces, chord, tried, turn }));
      return true;
    },
    /** Asks for the stripes of the lamps on the screen, traced as curves. Returns the job's number, 0 when there is nobody to ask. */
    stripes(seen, form, tried = false) {
      if (current === null) return 0;
      stripesJob = ++jobs;
      current.postMessage(message('stripes', { job: stripesJob, seen, form, tried }));
      return stripesJob;
    },
    /** Stops tracing them: no word of it is heard any more. */
    stopStripes() {
      current?.postMessage(message('stop-stripes', { job: stripesJob }));
      stripesJob = 0;
    },
    /** Holds the open model against a file. Returns the job's number, 0 when there is nobody to ask. */
    hold(name, bytes, near) {
      if (current === null) return 0;
      holdJob = ++jobs;
      current.postMessage(message('hold', { job: holdJob, name, bytes, near }), [bytes]);
      return holdJob;
    },
    /** Holds the open model against a sweep between joins. Returns the job's number, 0 when there is nobody to ask. */
    holdSweep(wish, near) {
      if (current === null) return 0;
      holdJob = ++jobs;
      current.postMessage(message('hold-sweep', { job: holdJob, wish, near }));
      return holdJob;
    },
    /** Puts an earlier revision beside the open model. Returns the job's number, 0 when there is nobody to ask. */
    earlier(name, bytes) {
      if (current === null) return 0;
      earlierJob = ++jobs;
      current.postMessage(message('earlier', { job: earlierJob, name, bytes }), [bytes]);
      return earlierJob;
    },
    /** Asks for what became of its findings by the limits last judged by. */
    revision() {
      if (current === null) return;
      earlierJob = ++jobs;
      current.postMessage(message('revision', { job: earlierJob, wish: {} }));
    },
    /** Lets the earlier revision go. */
    dropEarlier() {
      earlierJob = ++jobs;
      current?.postMessage(message('drop-earlier', { job: earlierJob }));
    },
    /** Lets the reference go. */
    letGo() {
      holdJob = ++jobs;
      current?.postMessage(message('let-go', { job: holdJob }));
    },
    /** Asks for what a probe reads, for combs or for sections; `type`: probe, combs or sections. Returns the job's number, 0 when there is nobody to ask. */
    ask(type, wish) {
      if (current === null) return 0;
      const job = ++jobs;
      current.postMessage(message(type, { job, wish }));
      return job;
    },
    /** Asks for the text of `check --json`. */
    check() {
      if (current === null) return;
      current.postMessage(message('check', { job: ++jobs }));
    },
  };
}
