// The worker: one instance of the core, one model. A classic script on purpose: module workers fail from disk
// and in sandboxed frames. Message names and shapes: protocol.js.
'use strict';

// `here`: where the scripts lie, said by workers.js where this one was started from a Blob, which lies nowhere. In a page that is one file
// the other script stands before this one.
if (typeof wasm_bindgen === 'undefined') importScripts(`${self.here ?? ''}rakelight.js`);

/** Faces are posted in batches: a larger batch shows the first face later, a smaller one costs more messages. */
const BATCH_BYTES = 512 * 1024;

/** Joins or findings in one message: more keep the page from answering while it takes them, fewer cost more messages. */
const BATCH = 120;

/** Progress is told at most this often, ms: more often only fills the page's queue. */
const TELL = 50;

let session = null;
let tracing = null; // job of the stripes on their way
let holding = null; // job of the reference on its way
let times = null; // of the open file, as `check --json` has them

self.onmessage = async ({ data }) => {
  try {
    if (data.type === 'start') {
      await wasm_bindgen({ module_or_path: data.module });
      session = new wasm_bindgen.Session();
      self.postMessage({ type: 'ready' });
    } else if (data.type === 'open') {
      open(data);
    } else if (data.type === 'trace') {
      self.postMessage({ type: 'trace', job: data.job, join: data.join, trace: session.trace(data.join) });
    } else if (data.type === 'stripes') {
      await trace(data);
    } else if (data.type === 'stop-stripes') {
      tracing = null;
    } else if (data.type === 'grade') {
      grade(data);
    } else if (data.type === 'form') {
      self.postMessage({ type: 'form', job: data.job, form: session.form() });
    } else if (data.type === 'sharpen') {
      sharpen(data);
    } else if (data.type === 'probe') {
      self.postMessage({ type: 'probe', job: data.job, found: session.probe(data.wish) });
    } else if (data.type === 'combs') {
      self.postMessage({ type: 'combs', job: data.job, wish: data.wish, sets: session.combs(data.wish) });
    } else if (data.type === 'lines') {
      self.postMessage({ type: 'lines', job: data.job, lines: session.lines() });
    } else if (data.type === 'layout') {
      self.postMessage({ type: 'layout', job: data.job, layout: session.layout() });
    } else if (data.type === 'fillets') {
      self.postMessage({ type: 'fillets', job: data.job, fillets: session.fillets() });
    } else if (data.type === 'gaps') {
      self.postMessage({ type: 'gaps', job: data.job, gaps: session.gaps() });
    } else if (data.type === 'edges') {
      self.postMessage({ type: 'edges', job: data.job, wish: data.wish, between: session.edges(data.wish) });
    } else if (data.type === 'centre-rows') {
      self.postMessage({ type: 'centre-rows', job: data.job, rows: session.rows_at_centre() });
    } else if (data.type === 'rows') {
      self.postMessage({ type: 'rows', job: data.job, wish: data.wish, rows: session.rows(data.wish.face) });
    } else if (data.type === 'nets') {
      self.postMessage({ type: 'nets', job: data.job, wish: data.wish, nets: session.nets(data.wish.measure) });
    } else if (data.type === 'patches') {
      self.postMessage({ type: 'patches', job: data.job, patches: session.patches() });
    } else if (data.type === 'needs') {
      self.postMessage({ type: 'needs', job: data.job, wish: data.wish, needs: session.needs(Uint32Array.from(data.wish.faces)) });
    } else if (data.type === 'maps') {
      self.postMessage({ type: 'maps', job: data.job, view: data.view, ...session.maps(data.view) });
    } else if (data.type === 'hold') {
      await hold(data, () => session.hold_begin(data.name, new Uint8Array(data.bytes), data.near));
    } else if (data.type === 'hold-sweep') {
      await hold(data, () => session.hold_sweep_begin(data.wish, data.near));
    } else if (data.type === 'sides') {
      self.postMessage({ type: 'sides', job: data.job, wish: data.wish, sides: session.sides(data.wish.face) });
    } else if (data.type === 'earlier') {
      earlier(data);
    } else if (data.type === 'revision') {
      tellRevision(data.job);
    } else if (data.type === 'faces-at') {
      self.postMessage({ type: 'faces-at', job: data.job, wish: data.wish, faces: session.faces_at(Float64Array.from(data.wish.places)) });
    } else if (data.type === 'drop-earlier') {
      session.drop_earlier();
    } else if (data.type === 'let-go') {
      holding = null;
      session.hold_drop();
      session.let_go();
      self.postMessage({ type: 'held', job: data.job, held: null });
    } else if (data.type === 'named') {
      self.postMessage({ type: 'named', job: data.job, wish: data.wish, named: session.named_sections(data.wish) });
    } else if (data.type === 'sections') {
      self.postMessage({ type: 'sections', job: data.job, wish: data.wish, cuts: session.sections(data.wish) });
    } else if (data.type === 'verdict') {
      self.postMessage({ type: 'verdict', job: data.job, verdict: session.verdict(data.wish.review) });
    } else if (data.type === 'report') {
      const { form, review, made, pictures } = data.wish;
      self.postMessage({ type: 'report', job: data.job, text: session.report(form, review, made, pictures) });
    } else if (data.type === 'try') {
      tryTrials(data);
    } else if (data.type === 'remedy') {
      tellRemedies(data);
    } else if (data.type === 'trial-file') {
      self.postMessage({ type: 'trial-file', job: data.job, text: session.trial_file(data.wish.trials, data.wish.whole) });
    } else if (data.type === 'check') {
      self.postMessage({ type: 'check', job: data.job, text: session.check_json(times) });
    }
  } catch (error) {
    self.postMessage({ type: 'failed', job: data.job, error: plain(error) });
    // A panic leaves the instance unusable: end as a crash, so that the page replaces this worker.
    if (error instanceof WebAssembly.RuntimeError) throw error;
  }
};

function open({ job, name, bytes, yardstick, limits, making, zones, reading }) {
  const start = performance.now();
  const began = {}; // when a stage was first heard of
  let batch = [];
  let size = 0;
  const flush = () => {
    if (batch.length === 0) return;
    self.postMessage({ type: 'faces', job, packets: batch }, batch);
    batch = [];
    size = 0;
  };
  const tell = teller('progress', job);
  const progress = (stage, done, total) => {
    began[stage] ??= performance.now();
    tell(stage, done, total);
  };
  const face = (packet) => {
    // The packet may be a view of the instance's memory: copy exactly its bytes before they move.
    const copy = packet.slice().buffer;
    batch.push(copy);
    size += copy.byteLength;
    if (size >= BATCH_BYTES) flush();
  };
  // The module has its own copy: this one goes at once, since a large file would be held twice.
  session.take(new Uint8Array(bytes));
  bytes.transfer?.(0);
  session.open(name, reading, progress, face);
  flush();
  const end = performance.now();
  const joins = began.joins ?? end;
  const tessellate = began.tessellate ?? joins;
  const read = (began.read ?? tessellate) - start;
  times = { import_ms: tessellate - start, tessellate_ms: joins - tessellate, joins_ms: end - joins };
  self.postMessage({ type: 'model', job, summary: session.summary() });
  inBatches(session.join_count(), (from, to, last) => {
    const packet = session.joins_packet(from, to).slice().buffer;
    self.postMessage({ type: 'joins', job, packet, joins: session.joins(from, to), last }, [packet]);
  });
  grade({ job, yardstick, limits, making, zones });
  self.postMessage({ type: 'done', job, times, read });
}

/**
 * Holds the open model against something, in short stretches; between them other messages are heard, one that lets it go among them. What
 * is no reference is no failure of the open model.
 */
async function hold({ job }, begin) {
  holding = job;
  try {
    const total = begin();
    let done = 0;
    let more = true;
    while (more) {
      const until = performance.now() + TELL;
      do {
        more = session.hold_step();
        done += 1;
      } while (more && performance.now() < until);
      self.postMessage({ type: 'hold-progress', job, done: Math.min(done, total), total });
      await new Promise((next) => setTimeout(next));
      if (holding !== job) return; // let go, or another one took its place
    }
    holding = null;
    self.postMessage({ type: 'held', job, held: session.hold_end() });
  } catch (error) {
    if (holding === job) holding = null;
    if (error instanceof WebAssembly.RuntimeError) throw error;
    self.postMessage({ type: 'not-held', job, error: plain(error) });
  }
}

/** Puts an earlier revision beside the open model. One that cannot be read is no failure of the open model. */
function earlier({ job, name, bytes }) {
  try {
    session.take_earlier(name, new Uint8Array(bytes), teller('earlier-progress', job));
    tellRevision(job);
  } catch (error) {
    if (error instanceof WebAssembly.RuntimeError) throw error;
    self.postMessage({ type: 'no-earlier', job, error: plain(error) });
  }
}

/** Tells what became of its findings, and of what file it is. */
function tellRevision(job) {
  const record = session.revision(teller('earlier-progress', job));
  self.postMessage({ type: 'revision', job, record, about: session.earlier_about() });
}

/** What tells of progress: each stage as it begins, else not too often. */
function teller(type, job) {
  let told = 0;
  let last = null;
  return (stage, done, total) => {
    const now = performance.now();
    if (stage === last && now - told < TELL) return;
    last = stage;
    told = now;
    self.postMessage({ type, job, stage, done, total });
  };
}

/** Meshes faces with finer borders; they are all sent at once, as the picture begins anew with each. */
function sharpen({ job, faces, chord, tried, turn }) {
  const packets = [];
  const ids = [];
  session.sharpen(Uint32Array.from(faces), chord, tried, (packet, id) => {
    packets.push(packet.slice().buffer);
    ids.push(id);
  });
  self.postMessage({ type: 'sharp', job, packets, faces: ids, turn }, packets);
}

/** Tells trials that would carry out a finding's remedy. */
function tellRemedies({ job, wish }) {
  const { remedies, why } = session.remedies(wish.finding);
  const read = ({ name, edits }) => ({ name, edits: edits.map((edit) => JSON.parse(edit)) });
  self.postMessage({ type: 'remedies', job, remedies: remedies.map(read), why });
}

/** Makes trials and sends the faces that they change; with `whole` measures the model with them. Trials that cannot be read are no failure of the open model. */
function tryTrials({ job, wish }) {
  const [faces, packets, originals] = [[], [], []];
  const take = (id, packet, original) => {
    faces.push(id);
    packets.push(packet.slice().buffer);
    originals.push(original && original.slice().buffer);
  };
  let tried = { changes: [], failures: [], joins: [], net: null, trace: null, lines: null };
  let failed = null;
  let outcome = null;
  try {
    tried = session.try_trials(wish.trials, { face: wish.face, point: wish.point, join: wish.join }, take);
    if (wish.whole) outcome = session.trial_outcome(wish.trials, wish.about ?? undefined);
  } catch (error) {
    if (error instanceof WebAssembly.RuntimeError) throw error;
    failed = plain(error).message;
  }
  const { net, ...rest } = tried;
  self.postMessage({ type: 'tried', job, wish, faces, packets, originals, net, tried: { ...rest, outcome, failed } }, [...packets, ...originals.filter(Boolean)]);
}

/** Traces stripes in short stretches; between them other messages are heard, one that stops it among them. */
async function trace({ job, seen, form, tried }) {
  tracing = job;
  const tell = (done, total) => self.postMessage({ type: 'stripes-progress', job, done, total });
  const total = session.stripes_begin(seen, tried, () => {});
  let done = 0;
  let more = true;
  while (more) {
    const until = performance.now() + TELL;
    do {
      more = session.stripes_step();
      done += 1;
    } while (more && performance.now() < until);
    tell(Math.min(done, total), total);
    await new Promise((next) => setTimeout(next));
    if (tracing !== job) {
      // A later job has its own stripes by now.
      if (tracing === null) session.stripes_drop();
      return;
    }
  }
  tracing = null;
  self.postMessage({ type: 'stripes', job, form, text: session.stripes_end(form) });
}

function grade({ job, yardstick, limits: wanted, making, zones }) {
  const count = session.grade(yardstick, wanted, making, zones);
  self.postMessage({ type: 'classes', job, ...session.classes() });
  const limits = session.limits();
  inBatches(count, (from, to, last) => {
    self.postMessage({ type: 'findings', job, yardstick, findings: session.findings(from, to), limits, last });
  });
}

/** Calls `send(from, to, last)` for each batch of `count` things; once for none. */
function inBatches(count, send) {
  let from = 0;
  do {
    const to = Math.min(count, from + BATCH);
    send(from, to, to === count);
    from = to;
  } while (from < count);
}

/** What was thrown, as {message, entity, line, kind}; the core throws just that, a panic throws an Error. */
function plain(error) {
  if (error && typeof error === 'object' && !(error instanceof Error)) {
    const { message, entity = null, line = null, kind = 'unknown' } = error;
    return { message: String(message), entity, line, kind };
  }
  return { message: String(error?.message ?? error), entity: null, line: null, kind: 'crash' };
}
