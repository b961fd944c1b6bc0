// What the page does beyond its own state: fetch bytes, run imports, ask the workers, save a file.
// Views call these; workers' answers become actions.

import { fetchModel, readBody } from './address.js';
import { createAsking } from './asking.js';
import { createEarlier } from './earlier-verbs.js';
import { combWish, sameWish } from './combs.js';
import { wantedMap } from './form-range.js';
import { makingWish, sameMaking } from './making.js';
import { lackingCuts } from './named-sections.js';
import { lackingNeeds, wantedNets, wantedRows } from './rows.js';
import { saveFile, stem } from './save-file.js';
import { sameSections, sectionWish } from './sections.js';
import { unpack } from './link-pack.js';
import { DEMO, DEMO_B, bringDemo, nameOf, wanted } from './open.js';
import { held as within, unpacked } from './packed.js';
import { texts } from './texts.js';
import { createTrials } from './trial-verbs.js';
import { createWorkers } from './workers.js';
import { zoneWish } from './zones.js';

const words = texts.failure;

/** A file read in the unit it states, without what it hides. */
const AS_STATED = Object.freeze({ unit: null, hidden: false });

/** What a model of that name is judged by: zone, limits, making, zones of patches. */
const judgedBy = (review, name) => [review.yardstick, review.limits, makingWish(review), zoneWish(review, name)];

/** Files may be given before `start`: they are read and wait for the module. `reviews`: review-verbs.js, for files that are no model; `keeping`: keeping.js. */
export function createCommands(store, scene, reviews, keeping) {
  let begin = null;
  const started = new Promise((resolve) => (begin = resolve));
  let bringing = null; // AbortController of bytes on their way
  let held = null; // faces of a running import, held back while an older model is shown
  let incoming = null; // {name, size, reading, again, judged} of the running import
  let gathered = null; // joins and findings that have come so far; `grading`: the job that these findings belong to
  let surveyed = 0; // how often joins of the open model were looked for by workers before this one
  let savingAs = null;
  let joinsOnly = false; // what runs looks for joins of the open model only
  let coming = null; // how the running import was brought in
  let heldFrom = null; // how the reference was brought in, {name, bring} or {wish} of a sweep
  let heldLast = null; // the same of the last that was one
  const heard = []; // told of verdicts
  const reported = new Map(); // reports on their way: job → {done, not}
  let last = null; // the same of the open model, to bring it again after a crash

  const workers = createWorkers({
    progress: ({ stage, done, total }) => store.dispatch({ type: 'import-progress', stage, done, total }),
    faces({ packets }) {
      if (incoming.again) return; // they are there
      if (held) held.push(...packets);
      else scene.addFaces(packets);
    },
    model({ summary }) {
      const { name, size, reading, again } = incoming;
      surveyed = again ? store.state.work.surveys : 0;
      last = coming;
      gathered = { joins: [], findings: [], grading: null };
      forgetAsked();
      const from = store.state.work.reference && heldFrom;
      heldFrom = heldLast = null;
      if (again) {
        scene.clearJoins();
        store.dispatch({ type: 'model-rejoined', model: { name, size, reading, summary } });
        // A fresh worker knows of no other model, and a sweep's rails are joins there are no more.
        const file = store.state.work.earlier?.file;
        store.dispatch({ type: 'earlier-gone' });
        store.dispatch({ type: 'reference-gone' });
        if (from?.bring) hold(from);
        if (file) earlier.open(file);
        return;
      }
      if (held) {
        scene.clear();
        scene.addFaces(held);
        held = null;
      }
      store.dispatch({ type: 'model-opened', forget: true, model: { name, size, reading, summary } });
      scene.fit();
    },
    joins({ packet, joins, last }) {
      scene.addJoins(packet);
      gathered.joins.push(...joins);
      if (last) store.dispatch({ type: 'joins-found', joins: gathered.joins });
    },
    classes: ({ surveys, joins, zones }) => store.dispatch({ type: 'classed', surveys: surveyed + surveys, joins, zones }),
    findings({ job, findings, limits, last }) {
      if (gathered.grading !== job) Object.assign(gathered, { grading: job, findings: [] });
      gathered.findings.push(...findings);
      if (!last) return;
      store.dispatch({ type: 'graded', findings: gathered.findings, limits });
      grading.answered(job);
      // Judged by other limits, both sides have other findings.
      if (store.state.work.earlier?.record) workers.revision();
    },
    done({ times }) {
      store.dispatch({ type: 'import-done', times });
      // Changed while the import ran.
      const { search, plane } = store.state.review;
      if (incoming.reading.search !== search || incoming.reading.plane !== plane) searchChanged(store.state.work, store.state.review);
      else if (JSON.stringify(incoming.judged) !== JSON.stringify(judgedBy(store.state.review, incoming.name))) grading.changed();
    },
    trace: ({ join, trace }) => store.dispatch({ type: 'trace-ready', trace: { ...trace, join } }),
    form: ({ form }) => {
      scene.tellFaces(form);
      store.dispatch({ type: 'form-known', form });
    },
    sharp: ({ packets, faces, turn }) => scene.replaceFaces(packets.filter((_, i) => trials.fits(faces[i], turn))),
    tried: (answer) => trials.tried(answer),
    remedies: (answer) => trials.remedies(answer),
    'trial-file': (answer) => trials.file(answer),
    probe({ job, found }) {
      store.dispatch({ type: 'probe-found', found });
      probing.answered(job);
    },
    combs({ job, wish, sets }) {
      store.dispatch({ type: 'combs-found', combsFound: { wish, sets } });
      combing.answered(job);
    },
    lines: ({ lines }) => store.dispatch({ type: 'lines-known', lines }),
    layout: ({ layout }) => store.dispatch({ type: 'layout-known', layout }),
    fillets({ job, fillets }) {
      store.dispatch({ type: 'fillets-known', fillets });
      filleting.answered(job);
    },
    gaps({ job, gaps }) {
      store.dispatch({ type: 'gaps-known', gaps });
      gapping.answered(job);
    },
    edges({ job, wish, between }) {
      store.dispatch({ type: 'edges-found', edgesFound: { wish, between } });
      pairing.answered(job);
    },
    'centre-rows': ({ rows }) => store.dispatch({ type: 'centre-rows', rows }),
    rows({ job, wish, rows }) {
      if (wantedRows(store.state.work) === wish.face) store.dispatch({ type: 'rows-found', face: wish.face, rows });
      rowing.answered(job);
    },
    nets({ job, wish, nets }) {
      store.dispatch({ type: 'nets-found', netsFound: { ...nets, measure: wish.measure } });
      netting.answered(job);
    },
    patches: ({ patches }) => store.dispatch({ type: 'patches-found', patches }),
    needs({ job, wish, needs }) {
      store.dispatch({ type: 'needs-found', faces: wish.faces, needs });
      needing.answered(job);
    },
    maps({ job, view, maps, range }) {
      scene.tellMaps(maps);
      store.dispatch({ type: 'maps-known', view, range });
      mapping.answered(job);
    },
    sections({ job, wish, cuts }) {
      store.dispatch({ type: 'sections-found', sectionsFound: { wish, cuts } });
      cutting.answered(job);
    },
    held({ held }) {
      heldLast = heldFrom;
      store.dispatch(held ? { type: 'reference-held', held } : { type: 'reference-gone' });
      grading.changed();
    },
    'earlier-progress': ({ stage, done, total }) => store.dispatch({ type: 'earlier-progress', stage, done, total }),
    revision: (message) => earlier.known(message),
    'no-earlier': ({ error }) => earlier.failed(error),
    'faces-at': (message) => earlier.facesAt(message),
    named({ job, wish, named }) {
      store.dispatch({ type: 'named-found', planes: wish.planes, named });
      naming.answered(job);
    },
    sides({ sides }) {
      store.dispatch(sides ? { type: 'sweep-set', sides } : { type: 'notice', notice: texts.sweep.noSides });
    },
    'hold-progress': ({ done, total }) => store.dispatch({ type: 'reference-progress', done, total }),
    'not-held'({ error }) {
      notHeld(store.state.work.reference?.name ?? '', error.message);
    },
    verdict: (answer) => heard.forEach((take) => take(answer)),
    report({ job, text }) {
      reported.get(job)?.done(text);
      reported.delete(job);
    },
    check: ({ text }) => save(text, savingAs, 'application/json'),
    'stripes-progress': ({ done, total }) => store.dispatch({ type: 'stripes-progress', done, total }),
    stripes({ job, form, text }) {
      store.dispatch({ type: 'stripes-ended' });
      if (!trials.drawn({ job, text })) save(text, `${openStem()}.stripes.${form}`, form === 'svg' ? 'image/svg+xml' : 'application/json');
    },
    failed({ job, error }) {
      if (reported.has(job)) {
        reported.get(job).not(new Error(error.message));
        reported.delete(job);
        return;
      }
      if (store.state.work.tracing) store.dispatch({ type: 'stripes-ended' });
      if (store.state.work.busy) failed(incoming.name, error);
      else store.dispatch({ type: 'import-failed', failure: { title: words.jobFailed, ...error } });
    },
    crashed({ reason, importing }) {
      scene.replaceFaces([]); // none will come any more
      if (importing) failed(incoming.name, { message: words.crashedImport, advice: reason });
      else {
        forgetAsked();
        store.dispatch({ type: 'stripes-ended' });
        const failure = { title: words.jobFailed, message: words.crashedModel, advice: reason, again: true };
        store.dispatch({ type: 'import-failed', failure });
      }
    },
  });

  const earlier = createEarlier(store, workers, keeping);
  const trials = createTrials(store, scene, workers);
  const grading = createAsking(() => {
    const { work, review } = store.state;
    return workers.grade(...judgedBy(review, work.model?.name));
  });
  const probing = createAsking(() => {
    const { work, review } = store.state;
    const { places, patch } = work.probe;
    return places.length > 0 ? workers.ask('probe', { places, patch, pull: review.pull }) : 0;
  });
  const combing = createAsking(() => {
    const wish = combWish(store.state.work);
    return wish ? workers.ask('combs', wish) : 0;
  });
  const cutting = createAsking(() => {
    const wish = sectionWish(store.state.work);
    return wish ? workers.ask('sections', wish) : 0;
  });
  const naming = createAsking(() => {
    const planes = lackingCuts(store.state);
    return planes.length > 0 ? workers.ask('named', { planes }) : 0;
  });
  const mapping = createAsking(() => {
    const view = wantedMap(store.state);
    return view && store.state.work.mapped !== view ? workers.maps(view) : 0;
  });
  const rowing = createAsking(() => {
    const { work } = store.state;
    const face = wantedRows(work);
    return face !== null && work.rowsFound?.face !== face ? workers.ask('rows', { face }) : 0;
  });
  // Some at a time: what is asked meanwhile is answered in between.
  const needing = createAsking(() => {
    const faces = lackingNeeds(store.state.work);
    return faces.length > 0 ? workers.ask('needs', { faces }) : 0;
  });
  const netting = createAsking(() => {
    const { work } = store.state;
    const measure = wantedNets(work);
    return measure && work.netsFound?.measure !== measure ? workers.ask('nets', { measure }) : 0;
  });
  const filleting = createAsking(() => (store.state.work.model && store.state.work.pass === 'fillets' ? workers.ask('fillets', {}) : 0));
  const gapping = createAsking(() => (store.state.work.model && store.state.work.pass === 'gaps' ? workers.ask('gaps', {}) : 0));
  const pairing = createAsking(() => {
    const { first, second } = store.state.work.gapView;
    return first !== null && second !== null ? workers.ask('edges', { first, second }) : 0;
  });
  const noReports = () => {
    for (const { not } of reported.values()) not(new Error(words.crashedModel));
    reported.clear();
  };
  const forgetAsked = () => {
    noReports();
    trials.forget();
    [filleting, gapping, pairing, grading, probing, combing, cutting, naming, mapping, rowing, netting, needing].forEach((asking) => asking.forget());
  };
  /** Holds the open model against a file, `from` {name, bring}, or against a sweep between joins, {name, wish}. */
  async function hold(from) {
    heldFrom = from;
    const { near } = store.state.work.referenceView;
    store.dispatch({ type: 'reference-began', name: from.name });
    if (from.wish) return workers.holdSweep(from.wish, near);
    try {
      const bytes = await from.bring();
      if (from === heldFrom && store.state.work.reference) workers.hold(from.name, bytes, near);
    } catch (error) {
      if (from === heldFrom) notHeld(from.name, error.message);
    }
  }

  /** What was to be held against is no reference: the one before stays. */
  function notHeld(name, message) {
    const title = heldFrom?.wish ? texts.sweep.failed : words.title(name);
    heldFrom = heldLast;
    store.dispatch({ type: 'reference-failed' });
    store.dispatch({ type: 'notice', notice: `${title}: ${message}` });
  }

  /** Lets the reference go; of one that is still read, goes back to the one before. */
  function letGo() {
    const { reference } = store.state.work;
    const back = reference && !reference.held && reference.before ? heldLast : null;
    heldFrom = heldLast = null;
    store.dispatch({ type: 'reference-gone' });
    workers.letGo();
    if (back) hold(back);
  }

  /** After joins were not looked for anew: distance and plane are again those that the ones there are were found with. */
  function keepSearch() {
    const { work, review } = store.state;
    if (!work.model) return;
    const { search, plane } = work.model.reading;
    if (search !== review.search) store.dispatch({ type: 'set-search', search });
    if (plane !== review.plane) store.dispatch({ type: 'set-plane', plane });
  }

  function failed(name, { message, entity = null, line = null, advice = null }) {
    if (!store.state.work.model) scene.clear();
    held = null;
    keepSearch();
    store.dispatch({ type: 'import-failed', failure: { title: words.title(name), message, entity, line, advice } });
  }

  function importBytes(name, bytes, reading) {
    if (bytes.byteLength === 0) {
      failed(name, { message: words.empty, line: 1 });
      return;
    }
    const { search, plane } = store.state.review;
    const judged = judgedBy(store.state.review, name);
    incoming = { name, size: bytes.byteLength, reading: { ...reading, search, plane }, again: coming.again, judged };
    held = store.state.work.model && !coming.again ? [] : null;
    if (!held && !coming.again) scene.clear();
    workers.open(name, bytes, ...judged, incoming.reading);
  }

  /**
   * Brings bytes from somewhere and imports them; `bring(signal, onProgress)` gives an ArrayBuffer; `bring.from`, where others can have them
   * from too, is 'demo' or {address}.
   * `again`: it is the open model, whose joins are looked for anew.
   * `reading`: {unit: mm to take for the file's unit or null, hidden: true for what the file hides too}.
   */
  async function bringIn(name, bring, reading = AS_STATED, again = false) {
    stop();
    joinsOnly = again;
    const source = { name, bring, reading, again };
    const mine = new AbortController();
    bringing = mine;
    store.dispatch({ type: 'import-began', name });
    try {
      const bytes = await bring(mine.signal, (done, total) => {
        if (bringing === mine) store.dispatch({ type: 'import-progress', stage: 'fetch', done, total });
      });
      if (bringing !== mine) return;
      // The bytes say what a file is. One that calls itself JSON was asked before anything was stopped for it.
      if (!again && reviews.isReview(bytes)) {
        bringing = null;
        store.dispatch({ type: 'review-came' });
        await reviews.openFile(new File([bytes], name));
        return;
      }
      await started;
      if (bringing !== mine) return;
      coming = source;
      importBytes(name, bytes, reading);
      bringing = null;
    } catch (error) {
      if (bringing !== mine) return;
      bringing = null;
      failed(name, { message: error.message, advice: error.advice ?? null });
    }
  }

  /** Ends whatever runs. True if something did. */
  function stop() {
    const was = bringing !== null;
    bringing?.abort();
    bringing = null;
    const importing = workers.cancel();
    if (importing && !store.state.work.model) scene.clear();
    held = null;
    return was || importing;
  }

  const save = (text, name, type) => saveFile(store, text, name, type);
  const openStem = () => stem(store.state.work.model.name);

  const fromOwn = (name, path) =>
    bringIn(name, async (signal, onProgress) => {
      const response = await fetch(path, { signal, cache: 'no-store' });
      if (!response.ok) throw new Error(texts.address.status(response.status));
      return readBody(response, onProgress);
    });

  scene.onBlunt((wanted) => workers.sharpen(trials.blunt(wanted)));

  // Effects of choices: a chosen join asks for its trace, other limits judge again.
  store.subscribe(({ work, review }, before) => {
    const { join } = work.selection;
    const another = join !== before.work.selection.join && work.trace === null;
    if (join !== null && join !== undefined && another) workers.trace(join);
    if (['yardstick', 'limits', 'zones'].some((part) => review[part] !== before.review[part]) || !sameMaking(review, before.review)) grading.changed();
    const { probe } = work;
    const was = before.work.probe;
    if (probe.places !== was.places || probe.patch !== was.patch || review.pull !== before.review.pull) probing.changed();
    if (!sameWish(work, before.work)) combing.changed();
    if (!sameSections(work, before.work)) cutting.changed();
    if (review.sections !== before.review.sections || work.namedFound !== before.work.namedFound || work.pass !== before.work.pass || work.model !== before.work.model) naming.changed();
    if (review.search !== before.review.search || review.plane !== before.review.plane) searchChanged(work, review);
    const opened = work.model !== before.work.model || work.pass !== before.work.pass;
    if (opened && work.model && ['form', 'centre', 'reference'].includes(work.pass) && !work.form) workers.form();
    const lined = work.pass === 'form' || (work.pass === 'joins' && work.cornersOn);
    const asked = opened || work.cornersOn !== before.work.cornersOn || before.work.lines;
    if (asked && work.model && lined && !work.lines) workers.lines();
    if (opened && work.model && work.pass === 'layout' && !work.layout) workers.layout();
    // Limits say which order a fillet leads in with, and colour gaps.
    if (work.pass === 'fillets' && ((opened && !work.fillets) || work.limits !== before.work.limits)) filleting.changed();
    if (work.pass === 'gaps' && ((opened && !work.gaps) || work.limits !== before.work.limits)) gapping.changed();
    const { gapView: view } = work;
    if (view.first !== before.work.gapView.first || view.second !== before.work.gapView.second) pairing.changed();
    if (opened && work.model && work.pass === 'centre' && !work.centreRows) workers.centreRows();
    if (wantedRows(work) !== wantedRows(before.work) || work.model !== before.work.model) rowing.changed();
    if (wantedNets(work) !== wantedNets(before.work) || work.model !== before.work.model) netting.changed();
    if (opened && work.model && work.pass === 'rows' && !work.patches) workers.ask('patches', {});
    if (work.patches !== before.work.patches || opened) needing.changed();
    const { state } = store;
    if (work.model && wantedMap(state) && (opened || wantedMap(state) !== wantedMap(before) || work.reference !== before.work.reference)) mapping.changed();
    if (work.referenceView.near !== before.work.referenceView.near && heldFrom && work.reference) hold(heldFrom);
  });

  /** Looks for the joins of the open model at another distance or about another plane, or no longer where they are again the ones they have. */
  function searchChanged({ model, busy }, { search, plane }) {
    if (!model || !last) return;
    if (search !== model.reading.search || plane !== model.reading.plane) bringIn(last.name, last.bring, last.reading, true);
    else if (busy && joinsOnly) {
      stop();
      store.dispatch({ type: 'import-cancelled' });
    }
  }

  return {
    /** Takes the compiled wasm. */
    start(module) {
      workers.start(module);
      begin();
    },
    async openFile(file) {
      if (/\.json$/i.test(file.name) && (await reviews.isReviewFile(file))) await reviews.openFile(file);
      else await bringIn(file.name, () => file.arrayBuffer());
    },
    openAddress(url) {
      const bring = (signal, onProgress) => fetchModel(url, signal, onProgress);
      return bringIn(nameOf(url), Object.assign(bring, { from: { address: url.href } }));
    },
    openDemo() {
      const bring = (signal, onProgress) => bringDemo(DEMO, signal, onProgress);
      return bringIn(DEMO.split('/').pop(), Object.assign(bring, { from: 'demo' }));
    },
    /** Opens a model that came with a link, packed. */
    openPacked: (name, packed) => bringIn(name, () => unpack(packed)),
    /** Where the open model came from: {from: 'demo', {address} or 'own', bring(signal, onProgress)}. */
    source: () => ({ from: last.bring.from ?? 'own', bring: last.bring }),
    /** Opens the model that the page itself holds. */
    openHeld: () => bringIn(within.model.name, () => unpacked(within.model.gzip)),
    /** Bytes of the open model's file, brought again. */
    bytes: () => last.bring(new AbortController().signal, () => {}),
    cancel() {
      stop();
      store.dispatch({ type: 'import-cancelled' });
      keepSearch();
    },
    /** Brings the open model in again, after its worker has crashed. */
    again: () => last && bringIn(last.name, last.bring, last.reading),
    /** Brings the open model in again, read otherwise. */
    readAgain: (reading) => last && bringIn(last.name, last.bring, reading),
    holdFile: (file) => hold({ name: file.name, bring: () => file.arrayBuffer() }),
    holdDemo: () => hold({ name: DEMO_B.split('/').pop(), bring: () => bringDemo(DEMO_B) }),
    /** An earlier revision: open(file), file(), takeReview(file), carry(). */
    earlier,
    /** Trials: measure(), remedy(finding), another(key), saveStep(whole), savePictures(). */
    trials,
    /** Holds the open model against it and shows how far the two lie apart. */
    mapEarlier() {
      const file = earlier.file();
      hold({ name: file.name, bring: () => file.arrayBuffer() });
      store.dispatch({ type: 'set-reference-view', view: { map: 'reference' } });
      if (store.state.work.pass !== 'reference') store.dispatch({ type: 'choose-pass', pass: 'reference' });
    },
    dropEarlier() {
      workers.dropEarlier();
      store.dispatch({ type: 'earlier-gone' });
    },
    /** Takes the sides of a patch for a sweep's rails and sections. */
    takeSides: (face) => workers.ask('sides', { face }),
    /** `wish`: {first, second, start, end}, lists of joins. */
    holdSweep: (wish) => hold({ name: texts.sweep.name, wish }),
    letGo,
    /** Calls `take({job, verdict})` for each verdict that comes; null where none will. */
    onVerdict: (take) => heard.push(take),
    /** `wish`: {review}; the number of the job, 0 when there is nobody to ask. */
    askVerdict: (wish) => workers.ask('verdict', wish),
    /** `wish`: {form, review, made, pictures}; resolves with the text. */
    askReport(wish) {
      const job = workers.ask('report', wish);
      return new Promise((done, not) => (job ? reported.set(job, { done, not }) : not(new Error(words.jobFailed))));
    },
    redraw: () => scene.redraw(),
    saveCheck() {
      const { model } = store.state.work;
      if (!model) return;
      savingAs = `${openStem()}.check.json`;
      grading.flush();
      workers.check();
    },
    /** Traces the stripes on the screen as curves and saves them as `svg` or `json`. */
    saveStripes(form) {
      const seen = scene.seenLamps();
      if (seen && workers.stripes(seen, form)) store.dispatch({ type: 'stripes-began', form });
    },
    stopStripes() {
      workers.stopStripes();
      store.dispatch({ type: 'stripes-ended' });
    },
    /** Opens what the page's link asks for. */
    openWanted(href) {
      const wish = wanted(href);
      if (wish.kind === 'address') store.dispatch({ type: 'ask-consent', address: wish.address });
      else if (wish.kind === 'own') fromOwn(wish.name, wish.path);
      else if (wish.kind === 'foreign') {
        store.dispatch({ type: 'import-failed', failure: { title: words.jobFailed, message: texts.address.foreign } });
      } else this.openDemo();
    },
  };
}

