// What is done with trials: asking what comes of them as they change, showing the faces that they change, remedies, files and pictures.

import { createAsking } from './asking.js';
import { findingKey } from './records.js';
import { saveFile, stem } from './save-file.js';
import { texts } from './texts.js';
import { mayShowTrials, nextTrial, remedyOf, showsTrials, trialsHere } from './trials.js';

const words = texts.trials;

/** Rest before the whole model is measured, ms. Shorter: the next change waits for a measurement that nobody reads; longer feels slow. */
const REST = 900;

/** Pixels of the longer side of a picture at least. */
const PICTURE = 1600;

/** Trials as the worker reads them. */
const sound = (trials) => JSON.stringify(trials.map(({ name, on, edit }) => ({ name, on, edit })));

/** `workers`: createWorkers(). */
export function createTrials(store, scene, workers) {
  let after = new Map(); // face → packed, as the trials leave it
  const before = new Map(); // the same faces as they came
  let placed = new Map(); // those that the renderer has now in the place of the first
  let made = null; // the trials that `after` is of
  let told = null; // those that `work.tried` is of
  let rest = 0; // handle of the measurement to come
  let measured = 0; // its job
  let eager = false; // a remedy was tried: what comes of it is waited for, and nothing more is coming
  let turns = 0; // how often what is shown has changed: faces that were asked for before are not taken
  let remedied = null; // {job, key} of the remedy asked for
  let filed = null; // {job, name} of the file asked for
  let drawing = null; // {job, which, seen} of the drawing on its way

  const wanted = ({ work }) => work.model !== null && mayShowTrials(work);

  /** What is to be tried now; the net wanted of a face, and the place on it. */
  function wish(state) {
    const { hand, selection, pass } = state.work;
    const join = selection.join ?? null;
    const net = pass === 'trials' && hand.on ? selection.face : null;
    return { trials: sound(trialsHere(state)), face: net ?? null, point: net === null ? null : hand.at, join, whole: false, about: null };
  }

  const asking = createAsking(() => {
    const { state } = store;
    clearTimeout(rest);
    measured = 0;
    if (!wanted(state)) return 0;
    const list = trialsHere(state);
    const { hand, selection } = state.work;
    if (list.every(({ on }) => !on) && !(hand.on && selection.face !== null)) {
      none(list);
      return 0;
    }
    made = list;
    return workers.ask('try', wish(state));
  });

  /** No trial is on. */
  function none(list) {
    made = list;
    after = new Map();
    place();
    if (store.state.work.tried) store.dispatch({ type: 'tried', tried: null, measuring: false });
  }

  /** Shows the faces as the state wants them. */
  function place() {
    const target = showsTrials(store.state.work) ? after : new Map();
    const packets = [...target].filter(([face, packet]) => placed.get(face) !== packet).map(([, packet]) => packet);
    for (const face of placed.keys()) if (!target.has(face)) packets.push(before.get(face));
    placed = new Map(target);
    if (packets.length === 0) return;
    turns += 1;
    scene.replaceFaces(packets, true);
  }

  function tried({ job, wish: asked, faces, packets, originals, tried: came, net }) {
    if (asked.whole) {
      if (job === measured) store.dispatch({ type: 'tried', tried: came, measuring: false });
      return;
    }
    const any = made?.some(({ on }) => on) ?? false;
    after = new Map(faces.map((face, i) => [face, packets[i]]));
    faces.forEach((face, i) => originals[i] && before.set(face, originals[i]));
    place();
    // Asked for another net only: what was measured holds.
    const outcome = made === told ? (store.state.work.tried?.outcome ?? null) : null;
    told = made;
    store.dispatch({ type: 'tried', tried: any ? { ...came, outcome } : null, measuring: false });
    if (store.state.work.hand.on) store.dispatch({ type: 'set-hand', hand: { net } });
    asking.answered(job);
    if (any && !outcome && came.failed === null && made === trialsHere(store.state)) (eager ? measure : later)();
    eager = false;
  }

  function later() {
    clearTimeout(rest);
    rest = setTimeout(measure, REST);
  }

  function measure() {
    clearTimeout(rest);
    const { state } = store;
    if (!wanted(state) || state.work.busy || state.work.pass !== 'trials' || document.querySelector('#trial-handle.held')) return;
    measured = workers.ask('try', { ...wish(state), whole: true, about: about(state) });
    store.dispatch({ type: 'set-trial-view', view: { measuring: measured !== 0 } });
  }

  /** Another model, or another worker: what was placed is gone or will be. */
  function forget(another) {
    clearTimeout(rest);
    [measured, made, told, remedied, filed, drawing] = [0, null, null, null, null, null];
    asking.forget();
    after = new Map();
    if (!another) return place();
    before.clear();
    placed = new Map();
  }

  store.subscribe((state, was) => {
    const { work, review } = state;
    const { work: then } = was;
    if (work.model !== then.model) forget(true);
    if (work.pass !== then.pass || work.trialView.before !== then.trialView.before) place();
    const net = work.hand.on !== then.hand.on || work.hand.at !== then.hand.at || (work.hand.on && work.selection.face !== then.selection.face);
    const traced = work.selection.join !== then.selection.join && work.tried !== null && (work.selection.join ?? null) !== null;
    const other = review.trials !== was.review.trials && trialsHere(state) !== made;
    if (net || traced || other || work.model !== then.model || (work.pass !== then.pass && wanted(state) && trialsHere(state) !== made)) {
      // What another model brings is asked for when it is there as a whole.
      if (wanted(state) || other) asking.changed();
    }
    if (review.trials !== was.review.trials && work.untried?.there) store.dispatch({ type: 'untried', untried: null });
    const judged = work.findings !== then.findings && work.tried && !work.busy;
    if (judged) later();
  });

  /** Adds the trials of the first of some remedies in the place of others; the rest is kept for another try. */
  function take([{ name, edits }, ...others], finding, instead) {
    eager = true;
    const key = nextTrial(store.state.review.trials);
    const keys = edits.map((_, i) => key + i);
    store.dispatch({ type: 'take-remedy', model: store.state.work.model.name, name, edits, instead, say: words.added(name) });
    store.dispatch({ type: 'trial-others', keys, edits, others, finding });
  }

  /** The trials that make some edits already, the last ones that do; null where one of them is not made. */
  function alike(edits) {
    const own = trialsHere(store.state);
    const found = edits.map((edit) => own.findLast((trial) => JSON.stringify(trial.edit) === JSON.stringify(edit)));
    return found.every(Boolean) ? found : null;
  }

  /** The finding that the trials are to mend: that of the last one which was made for one; null where there is none. */
  function about({ work }) {
    const remedy = trialsHere(store.state).filter(({ on }) => on).map((trial) => remedyOf(work, trial)).findLast(Boolean);
    const index = remedy ? work.findings.findIndex((one) => findingKey(one) === remedy.finding) : -1;
    return index < 0 ? null : index;
  }

  /** A picture as it is now, of the canvas's proportions. */
  async function picture(which, [width, height]) {
    store.dispatch({ type: 'set-trial-view', view: { before: which === 'before' } });
    await scene.still();
    const sheet = Object.assign(document.createElement('canvas'), { width, height });
    const pen = sheet.getContext('2d');
    pen.fillStyle = '#fff';
    pen.fillRect(0, 0, width, height);
    scene.drawOnto(pen, width, height);
    const blob = await new Promise((done) => sheet.toBlob(done, 'image/png'));
    saveFile(store, blob, words.pictureName(stem(store.state.work.model.name), which), 'image/png');
  }

  /** Asks for the stripes as curves, before or after, under lamps `seen` from where one looked. */
  function draw(which, seen) {
    const job = seen ? workers.stripes(seen, 'svg', which === 'after') : 0;
    drawing = job ? { job, which, seen } : null;
    if (job) store.dispatch({ type: 'stripes-began', form: 'svg' });
  }

  return {
    tried,
    forget: () => forget(false),
    measure,
    /** Faces whose borders may be meshed anew, with what they are to be of; `fits` says later whether that is shown still. */
    blunt: (asked) => ({ ...asked, tried: placed.size > 0, turn: turns }),
    fits: (face, turn) => turn === turns || !before.has(face),
    /** Asks for a way of carrying out a finding's remedy. */
    remedy(finding) {
      const index = store.state.work.findings.indexOf(finding);
      const key = findingKey(finding);
      remedied = { job: workers.ask('remedy', { finding: index }), key };
      store.dispatch({ type: 'untried', untried: { finding: key, why: null } });
    },
    remedies({ job, remedies, why }) {
      if (job !== remedied?.job) return;
      const { key: finding } = remedied;
      remedied = null;
      if (remedies.length === 0) return store.dispatch({ type: 'untried', untried: { finding, why }, say: words.not(why) });
      const there = alike(remedies[0].edits);
      there?.forEach(({ key }) => store.dispatch({ type: 'set-trial', key, change: { on: true } }));
      store.dispatch({ type: 'untried', untried: there ? { finding, why: null, there: true } : null, say: there && words.there });
      if (!there) take(remedies, finding, []);
      if (store.state.work.pass !== 'trials') store.dispatch({ type: 'choose-pass', pass: 'trials' });
      store.dispatch({ type: 'set-trial-view', view: { before: false } });
    },
    /** Puts the next way of carrying out a remedy in the place of the trials of the last one. */
    another(key) {
      const { others, finding, keys } = store.state.work.trialOthers[key] ?? {};
      if (others?.length > 0) take(others, finding, keys);
    },
    /** Saves the changed faces, or the whole model with them. */
    saveStep(whole) {
      const { state } = store;
      const job = workers.ask('trial-file', { trials: sound(trialsHere(state)), whole });
      filed = { job, name: words.fileName(stem(state.work.model.name), whole) };
    },
    file({ job, text }) {
      if (job === filed?.job) saveFile(store, text, filed.name, 'model/step');
    },
    /** The stripes before and after as curves, under the same lamps and from the same place. */
    saveDrawings: () => draw('before', scene.seenLamps()),
    stopDrawings() {
      drawing = null;
      workers.stopStripes();
      store.dispatch({ type: 'stripes-ended' });
    },
    /** Saves a drawing and asks for the one that belongs to it; false where it was not asked for here. */
    drawn({ job, text }) {
      if (job !== drawing?.job) return false;
      const { which, seen } = drawing;
      saveFile(store, text, words.drawingName(stem(store.state.work.model.name), which), 'image/svg+xml');
      drawing = null;
      if (which === 'before') draw('after', seen);
      return true;
    },
    /** Two pictures from where one looks, under the same lamps. */
    async savePictures() {
      const { width, height } = document.getElementById('canvas').getBoundingClientRect();
      const scale = Math.max(1, PICTURE / Math.max(width, height, 1));
      const size = [Math.round(width * scale), Math.round(height * scale)];
      const was = store.state.work.trialView.before;
      scene.pose(...size);
      try {
        for (const which of ['before', 'after']) await picture(which, size);
      } finally {
        scene.unpose();
        store.dispatch({ type: 'set-trial-view', view: { before: was } });
      }
    },
  };
}
