// What an element shows: a scene and a store of its own, and what is done with them. The page's own scene is the same code.

import { readBody } from './address.js';
import { entriesOf, facesOf } from './entries.js';
import { readView, viewText } from './element-camera.js';
import { enqueue } from './element-jobs.js';
import { came, join, leader, lit, moved, together } from './element-link.js';
import { leaveSeat, loadRuntime, prefer, settled, sleep, takeSeat } from './element-stage.js';
import { FAMILIES } from './lamp-rig.js';
import { goToEntry } from './ledger-keys.js';
import { makingWish } from './making.js';
import { ZONES } from './protocol.js';
import { faceTotal, unitOf } from './records.js';
import { MOST_BYTES, readReview, reviewOn } from './review-file.js';
import { createScene } from './scene.js';
import { INITIAL, reduce } from './state.js';
import { createStore } from './store.js';
import { texts } from './texts.js';
import { zoneWish } from './zones.js';

const words = texts.element;

/** Passes with a picture that an element has all for. */
export const PASSES = Object.freeze(['overview', 'highlights', 'joins', 'form']);

/**
 * `sheet`: the element's canvas; `near()`: it is worth drawing; `on`: progress({stage, done, total}), ready(summary), error({message, entity,
 * line}), view({camera, view}), choice(entry), picture().
 */
export function createShow(sheet, near, on) {
  let runtime = null;
  let seat = null;
  let viewer = null;
  let leave = null; // lets go of a model on its way
  let posed = null; // canvas that takes pictures of another size
  let wantsForm = null; // brings the model again for what colours by form need
  let stood = ''; // where the camera stood when the picture was done last
  let turn = 0; // counts models asked for

  const store = createStore(INITIAL, (state, action) =>
    action.type === 'follow'
      ? { ...state, review: { ...state.review, ...action.review }, work: { ...state.work, ...action.work } }
      : reduce(state, action),
  );
  const scene = createScene(sheet, store);
  const set = (type, fields) => store.dispatch({ type, ...fields });

  const show = {
    store,
    scene,
    link: null,
    said: {}, // what was said with the model: {view, family}
    model: () => store.state.work.model,
    follow: ({ lamps, rigOf }) => set('follow', { review: lamps ? { lamps } : {}, work: rigOf === undefined ? {} : { rigOf } }),
    together: () => together(show).map((one) => one.seat()).filter(Boolean),
    seat: () => seat,
    join: (name) => join(show, name),
    /** Pictures of this one come first from now on. */
    first: () => prefer(show.together()),
    open,
    setView,
    family(name) {
      if (FAMILIES.includes(name) && name !== store.state.review.lamps.family) set('set-lamps', { lamps: { family: name } });
    },
    pass(name) {
      const pass = PASSES.includes(name) ? name : 'overview';
      if (pass !== store.state.work.pass) set('choose-pass', { pass });
    },
    findings: () => entriesOf(store.state).map(told),
    choose,
    picture,
    close,
    sleep: () => seat && !posed && sleep(seat),
    end() {
      close();
      join(show, null);
      scene.end();
      if (seat) leaveSeat(seat);
      seat = viewer = null;
    },
  };

  const take = (from, [x, y, width, height]) => {
    const onto = posed ?? sheet;
    if (onto.width !== width || onto.height !== height) Object.assign(onto, { width, height });
    onto.getContext('2d').drawImage(from, x, y, width, height, 0, 0, width, height);
    if (!posed && store.state.work.model) on.picture();
  };

  scene.onView(() => moved(show));
  store.watch(({ review }) => [review.lamps], () => lit(show));
  store.watch(
    ({ work }) => [work.frame.kind],
    ({ work }) => ['exact', 'fallback'].includes(work.frame.kind) && queueMicrotask(done),
  );
  store.watch(
    ({ work }) => [work.pass, work.model, work.form],
    ({ work }) => work.pass === 'form' && work.model && !work.form && wantsForm?.(),
  );

  function done() {
    if (!seat || sheet.dataset.frame !== 'exact') return;
    settled(seat);
    if (!near()) show.sleep();
    const camera = scene.camera();
    const stands = viewText(camera);
    if (stands === stood || !show.model() || posed) return;
    const first = stood === '';
    stood = stands;
    if (!first) on.view({ camera, view: stands });
  }

  async function start() {
    runtime = await loadRuntime();
    if (seat) return;
    seat = takeSeat(runtime.Viewer, { sheet, near: () => posed !== null || stood === '' || near(), take });
    scene.start(seat.renderer);
    viewer = seat.viewer;
    if (!viewer) on.error({ message: texts.graphics.none, entity: null, line: null });
  }

  /**
   * Opens a model. `model`: {name, bring(signal)}; `review`: {bring(signal)} or null; `zone`, `view`, `family`, `pass`: as attributes have
   * them, null for what is not said. Resolves with the summary; rejects where there is no model; `signal` ends it.
   */
  async function open({ model, review, zone, view, family, pass }, signal) {
    close();
    const mine = turn;
    const ended = () => mine !== turn || signal.aborted;
    const [bytes, file] = await Promise.all([model.bring(signal), review ? reviewOf(review, signal) : null, start()]);
    if (ended()) throw aborted();
    if (bytes.byteLength === 0) throw new Error(texts.failure.empty);
    scene.clear();
    // Lamps and pass stay as the user has set them, where nothing else is said.
    set('follow', { review: { ...INITIAL.review, lamps: store.state.review.lamps }, work: { model: null, findings: [], joins: [], form: null } });
    if (file) set('open-review', { review: reviewOn(file, model.name, store.state.review) });
    if (ZONES.includes(zone)) set('choose-yardstick', { yardstick: zone });
    show.said = { view: Boolean(view), family: FAMILIES.includes(family) };
    show.family(family);
    const lead = leader(show);
    if (lead) came(show);
    const shown = pass ?? file?.view.pass;
    if (shown) show.pass(shown);
    if (view || !lead) setView(view ?? file?.view.camera, true);
    const size = bytes.byteLength;
    return new Promise((resolve, reject) => {
      signal.addEventListener('abort', () => reject(aborted()));
      read(model.name, size, bytes, {
        failed: (error) => reject(Object.assign(new Error(error.message), error)),
        opened(summary) {
          if (!file || file.model.hash === summary.hash) return;
          on.error({ message: words.otherReview, entity: null, line: null });
          set('open-review', { review: { ...store.state.review, marks: INITIAL.review.marks, pins: INITIAL.review.pins } });
        },
        done: () => resolve(summed()),
      });
      wantsForm = () => again(model, signal, size);
    });
  }

  /** The worker's answers become actions. */
  function read(name, size, bytes, { failed, opened, done }) {
    const got = { joins: [], findings: [] };
    const wish = wishFor(name, bytes);
    on.progress({ stage: 'wait', done: 0, total: 0 });
    const { reading } = wish;
    leave = enqueue(runtime.module, wish, store.state.work.pass === 'form', {
      progress: ({ stage, done, total }) => on.progress({ stage, done, total }),
      faces({ packets }) {
        if (!viewer) return;
        scene.addFaces(packets);
        // The picture there is lacks them from now on, not only when they are drawn.
        sheet.dataset.frame = 'moving';
      },
      model({ summary }) {
        set('model-opened', { forget: true, model: { name, size, reading, summary } });
        opened(summary);
        came(show);
      },
      joins({ packet, joins, last }) {
        if (viewer) scene.addJoins(packet);
        got.joins.push(...joins);
        if (last) set('joins-found', { joins: got.joins });
      },
      classes: ({ surveys, joins, zones }) => set('classed', { surveys, joins, zones }),
      findings({ findings, limits, last }) {
        got.findings.push(...findings);
        if (last) set('graded', { findings: got.findings, limits });
      },
      done: () => done(),
      form: ({ form }) => knowForm(form),
      failed,
      ended() {
        leave = null;
        // Asked for while it ran.
        const { work } = store.state;
        if (work.pass === 'form' && work.model && !work.form) wantsForm?.();
      },
    });
  }

  function wishFor(name, bytes) {
    const { review } = store.state;
    const { yardstick, limits, search, plane } = review;
    return { name, bytes, yardstick, limits, making: makingWish(review), zones: zoneWish(review, name), reading: { unit: null, hidden: false, search, plane } };
  }

  function knowForm(form) {
    if (viewer) scene.tellFaces(form);
    set('form-known', { form });
  }

  /** Brings the open model again for what colours by form need; faces and joins are there. */
  async function again(model, signal, size) {
    if (leave) return;
    const mine = turn;
    leave = () => {};
    const bytes = await model.bring(signal).catch(() => null);
    if (mine === turn) leave = null;
    if (!bytes || mine !== turn || bytes.byteLength !== size) return;
    leave = enqueue(runtime.module, wishFor(model.name, bytes), true, {
      form: ({ form }) => knowForm(form),
      failed: ({ message }) => on.error({ message, entity: null, line: null }),
      ended: () => (leave = null),
    });
  }

  /** A sound review, or null where it is none, which is told: the model is shown all the same. */
  async function reviewOf({ bring }, signal) {
    try {
      return readReview(await bring(signal));
    } catch (error) {
      if (signal.aborted) throw error;
      on.error({ message: words.noReview(error.message), entity: null, line: null });
      return null;
    }
  }

  function summed() {
    const { name, summary } = show.model();
    return { name, faces: faceTotal(summary), joins: store.state.work.joins.length };
  }

  /** Looks from somewhere; at once where nothing is shown yet. */
  function setView(given, atOnce = false) {
    const wanted = readView(given);
    if (!wanted || !viewer) return false;
    const { name, camera } = wanted;
    const way = camera?.projection;
    if (way && way !== store.state.work.projection) set('choose-projection', { projection: way });
    if (name) scene.standardView(name);
    else if (atOnce) scene.setCamera(camera);
    else scene.flyHome(camera);
    if (!atOnce) return true;
    viewer.arrive();
    // Fitted anew to the faces as they come.
    if (name) scene.fit();
    return true;
  }

  /** Chooses an entry of the ledger by its key and flies there; false where there is none. */
  function choose(key) {
    const entry = entriesOf(store.state).find((one) => one.key === key);
    if (!entry) return false;
    show.first();
    goToEntry(entry, store, { go: (pin) => (set('choose-pin', { key: pin.key }), setView(pin.camera)) });
    on.choice(told(entry));
    return true;
  }

  function told({ key, title, severity, state, finding, pin, mark }) {
    const place = finding ? (finding.place?.point ?? finding.place ?? null) : pin.place;
    return {
      key,
      title,
      severity,
      state,
      faces: facesOf({ finding, pin }, show.model().summary),
      measure: finding?.measure ?? null,
      value: finding?.value ?? null,
      unit: finding ? unitOf(finding) : null,
      place: place && [...place],
      note: (mark?.note || mark?.reason || pin?.text) ?? '',
    };
  }

  /** A picture of a size, PNG, in the element's own colours. */
  async function picture(width, height) {
    const [wide, high] = [width, height].map((x) => Math.max(1, Math.min(4096, Math.round(Number(x) || 0))));
    if (!viewer || !show.model()) throw new Error(words.noModel);
    if (posed) throw new Error(words.busy);
    posed = new OffscreenCanvas(wide, high);
    try {
      show.first();
      scene.pose(wide, high, null);
      await scene.whole();
      await scene.still();
      return await posed.convertToBlob({ type: 'image/png' });
    } finally {
      posed = null;
      scene.unpose();
    }
  }

  /** Lets go of the model. */
  function close() {
    turn += 1;
    leave?.();
    leave = wantsForm = null;
    stood = '';
    scene.clear();
    if (show.model()) set('follow', { work: { model: null, findings: [], joins: [], form: null, selection: INITIAL.work.selection } });
  }

  return show;
}

const aborted = () => new DOMException('', 'AbortError');

/** Brings a file from an address. */
export const fromAddress = (url) => async (signal) => {
  const response = await fetch(url, { signal }).catch((error) => {
    throw error.name === 'AbortError' ? error : new Error(texts.address.blocked(url.host));
  });
  if (!response.ok) throw new Error(texts.address.status(response.status));
  return readBody(response, () => {});
};

/** The same as text, no longer than a review is. */
export const textFrom = (url) => async (signal) => {
  const bytes = await fromAddress(url)(signal);
  if (bytes.byteLength > MOST_BYTES) throw new Error(texts.reviewFile.large);
  return new TextDecoder().decode(bytes);
};
