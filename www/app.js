// Wiring: makes the store, the scene, the workers' commands and the views, and opens what the link asks for.

import { mountConsent } from './address.js';
import { createBeside } from './beside.js';
import { mountBeside, mountBesideOpen } from './beside-view.js';
import { mountCameraInput } from './camera-input.js';
import { mountCentreControls } from './centre-controls.js';
import { mountFaceCombs, mountJoinCombs } from './comb-controls.js';
import { mountChecklist } from './checklist-controls.js';
import { createCommands } from './commands.js';
import { chosenFillet } from './fillets.js';
import { mountFillets } from './fillet-controls.js';
import { mountFilletDrawer } from './fillet-drawer.js';
import { mountFormControls } from './form-controls.js';
import { el } from './dom.js';
import { mountHead } from './head.js';
import { createKeeping } from './keeping.js';
import { mountJoinControls } from './join-controls.js';
import { mountLampControls } from './lamp-controls.js';
import { mountLampHandles } from './lamp-handles.js';
import { createLampPlay } from './lamp-play.js';
import { mountGapControls } from './gap-controls.js';
import { mountLayout } from './layout-controls.js';
import { mountLedger } from './ledger.js';
import { mountLinkDialog } from './link-controls.js';
import { createLinks } from './link-verbs.js';
import { mountLegend } from './legend.js';
import { mountCornerControls, mountLineControls } from './line-controls.js';
import { mountMakingControls } from './making-controls.js';
import { mountDrop, mountWelcome } from './open.js';
import { mountNamedSections } from './named-section-controls.js';
import { mountNewer } from './newer.js';
import { createOffline } from './offline.js';
import { mountOverview } from './overview.js';
import { mountPasses } from './passes.js';
import { mountPinDraw } from './pin-draw.js';
import { createPins } from './pin-verbs.js';
import { mountPinView } from './pin-view.js';
import { mountProbe } from './probe-controls.js';
import { mountReference } from './reference-controls.js';
import { mountRevision } from './revision-controls.js';
import { mountRating } from './rating-controls.js';
import { mountReport, mountReportDialog } from './report-controls.js';
import { createReports } from './report-verbs.js';
import { createScene } from './scene.js';
import { mountReviewSlips } from './review-slips.js';
import { createReviews } from './review-verbs.js';
import { mountRowControls } from './rows-controls.js';
import { mountRowDrawer } from './rows-drawer.js';
import { mountRowKeys, mountSight } from './rows-sight.js';
import { mountSectionControls } from './section-controls.js';
import { mountSlips } from './slips.js';
import { INITIAL, reduce } from './state.js';
import { mountLive, mountStatus } from './status.js';
import { createStore } from './store.js';
import { mountTags } from './tags.js';
import { texts } from './texts.js';
import { learnMeasures } from './texts/measures.js';
import { mountTheme } from './theme.js';
import { mountTrace } from './trace.js';
import { mountTrialBar, mountTrialFiles, mountTrials, mountTrialStrip } from './trial-controls.js';
import { createHand, mountHand, mountHandle } from './trial-hand.js';
import { mountEditForm } from './trial-forms.js';
import { mountUnderlay } from './underlay-controls.js';
import { createUnderlay } from './underlay-verbs.js';
import { mountUnderlayView } from './underlay-view.js';
import { mountVerdict } from './verdict-controls.js';
import { mountViewBar } from './view-bar.js';
import { loadModule } from './wasm.js';
import { single } from './packed.js';
import { mountSingleSlip } from './single-controls.js';
import { createSingle } from './single-verbs.js';
import { createZonePaint, mountZonePaint } from './zone-paint.js';

const at = (id) => document.getElementById(id);

const store = createStore(INITIAL, reduce);
mountTheme(store);
mountHooks(store);
at('skip').textContent = texts.skip;

const canvas = at('canvas');
const scene = createScene(canvas, store);
const keeping = createKeeping(store, scene);
const reviews = createReviews(store, scene, keeping);
const commands = createCommands(store, scene, reviews, keeping);
reviews.onReading((reading) => commands.readAgain(reading));
const offline = createOffline(store);
const reports = createReports(store, scene, commands);
const links = createLinks(store, scene, commands, reviews);
const oneFile = createSingle(store, scene, commands, reviews, keeping);
const play = createLampPlay(store);
const beside = createBeside(at('beside-canvas'), store, scene);
const underlay = createUnderlay(store, scene);
const pins = createPins(store, scene);
const paint = createZonePaint(store, scene);
const hand = createHand(store, scene);

mountHead(at('head'), store, commands, reviews, links, oneFile);
mountPasses(at('passes'), store, {
  overview: (root) => {
    mountOverview(root, store, commands, paint);
    mountBesideOpen(root.appendChild(el('div', { class: 'block' })), store, beside);
    mountRevision(root.appendChild(el('div', { class: 'block' })), store, commands, beside);
  },
  layout: (root) => mountLayout(root, store),
  rows: (root) => mountRowControls(root, store),
  joins: (root) => {
    const [own, corners, combs] = [el('div', { class: 'pass-part' }), el('div', { class: 'block' }), el('div', { class: 'block' })];
    root.append(own, corners, combs);
    mountCornerControls(corners, store);
    mountJoinControls(own, store);
    mountJoinCombs(combs, store);
  },
  centre: (root) => mountCentreControls(root, store),
  highlights: (root) => mountLampControls(root, store, play, commands),
  form: (root) => {
    const part = () => root.appendChild(el('div', { class: 'pass-part' }));
    const block = () => root.appendChild(el('div', { class: 'block' }));
    mountFormControls(part(), store);
    mountLineControls(block(), store);
    mountMakingControls(block(), store);
    mountProbe(part(), store);
    mountFaceCombs(block(), store);
    mountSectionControls(block(), store);
    mountNamedSections(block(), store);
  },
  fillets: (root) => mountFillets(root, store),
  gaps: (root) => mountGapControls(root, store),
  reference: (root) => {
    mountReference(root, store, commands);
    mountUnderlay(root.appendChild(el('div', { class: 'block' })), store, underlay, canvas);
    mountChecklist(root.appendChild(el('div', { class: 'block' })), store, scene);
  },
  trials: (root) => {
    const block = () => root.appendChild(el('div', { class: 'block' }));
    mountTrialStrip(block(), store, commands.trials);
    mountTrials(block(), store, commands.trials);
    mountTrialFiles(block(), store, commands.trials);
    mountHand(block(), store, hand);
    mountEditForm(block(), store);
  },
  verdict: (root) => {
    const part = () => root.appendChild(el('div', { class: 'pass-part' }));
    mountVerdict(part(), store);
    mountRating(root.appendChild(el('div', { class: 'block' })), store);
    mountReport(root.appendChild(el('div', { class: 'block' })), store, reports);
  },
});
mountLedger(at('ledger'), store, pins, canvas, commands.trials);
mountTrace(at('trace'), store);
mountRowDrawer(at('rows-drawer'), store);
mountFilletDrawer(at('fillet-drawer'), store);
mountSight(store, scene);
mountRowKeys([canvas, at('rows-drawer')], store);
mountLegend(at('legend'), store, scene);
mountStatus(at('status'), store);
mountSlips(at('slips'), store, commands);
mountReviewSlips(at('slips'), store, reviews, keeping, oneFile);
mountSingleSlip(at('slips'), store, oneFile);
mountNewer(at('slips'), store, offline);
mountWelcome(at('welcome'), store);
mountConsent(at('consent'), store, commands);
mountReportDialog(at('report'), store, reports);
mountLinkDialog(at('link'), links);
mountLive(at('live'), store);
mountViewBar(at('view-bar'), store, scene);
mountBeside(at('surface'), at('beside-canvas'), at('beside'), store, beside);
mountUnderlayView(at('surface'), at('underlay-sheet'), at('underlay-over'), store, scene, underlay);
scene.onChoose(pins.take);
scene.onChoose(paint.take);
scene.onChoose(hand.take);
mountPinView(at('pins'), at('pin-sheet'), store, scene, pins);
mountPinDraw(at('surface'), canvas, at('pin-sheet'), at('pin-bar'), store, scene, pins);
mountTrialBar(at('trial-bar'), canvas, store);
mountHandle(at('trial-place'), store, scene, hand);
mountZonePaint(at('surface'), canvas, at('zone-bar'), store, paint);
mountTags(at('tags'), store, scene);
mountLampHandles(at('rig'), store, scene, play);
mountDrop(at('surface'), store, commands);
mountCanvas(canvas);
mountNarrow(store);
mountLaunch();

const { module, Viewer, vocabulary, links: codec, error } = await loadModule();
learnMeasures(vocabulary);
if (error) {
  store.dispatch({
    type: 'import-failed',
    failure: { title: texts.failure.wasm, message: error, advice: texts.failure.wasmAdvice },
  });
} else {
  scene.start(Viewer);
  beside.start(module, Viewer);
  commands.start(module);
  links.start(codec);
  // A file that was dropped meanwhile goes first.
  const { busy } = store.state.work;
  if (single) oneFile.openHeld();
  else if (!links.open(location.hash, !busy) && !busy) commands.openWanted(location.href);
  if (!single) addEventListener('hashchange', () => links.open(location.hash));
}

function mountCanvas(canvas) {
  canvas.setAttribute('role', 'application');
  canvas.setAttribute('aria-label', texts.view.canvas);
  canvas.setAttribute('aria-description', texts.view.keys);
  canvas.addEventListener('pointerdown', () => play.stop());
  mountCameraInput(canvas, scene, () => {
    const { selection, probe, centre, underlayLook, pinView, zoneView } = store.state.work;
    if (underlayLook.aim) return underlay.aim(null);
    if (pinView.aim) return pins.aim(false);
    if (pinView.draw) return pins.draw(false);
    if (zoneView.paint) return paint.turn(false);
    if (centre.picks) return store.dispatch({ type: 'set-centre', centre: { picks: null } });
    if (probe.next) return store.dispatch({ type: 'probe-aim', next: null });
    const some = Object.values(selection).some((id) => id !== null);
    if (some) store.dispatch({ type: 'choose-nothing' });
    else at(`pass-${store.state.work.pass}`).focus();
  });
}

/** A file that the desktop opens with the installed page. */
function mountLaunch() {
  globalThis.launchQueue?.setConsumer(async ({ files }) => {
    if (!files?.length) return;
    offline.touch(); // it would not come a second time
    commands.openFile(await files[0].getFile());
  });
}

/** The hooks listed in index.html. */
function mountHooks(store) {
  const { dataset } = document.documentElement;
  store.watch(
    ({ work }) => [work.busy, work.failure, work.model, work.graphics],
    ({ work }) => {
      dataset.state = work.busy ? 'busy' : work.failure ? 'failed' : work.model ? 'ready' : 'empty';
      dataset.graphics = work.graphics;
      if (work.model) dataset.model = work.model.name;
      else delete dataset.model;
    },
  );
  store.watch(
    ({ work }) => [work.keeping.where],
    ({ work }) => (dataset.kept = work.keeping.where),
  );
  store.watch(
    ({ work }) => [work.offline.where],
    ({ work }) => (dataset.offline = work.offline.where),
  );
}

/** True where another fillet is chosen than before. */
function newFillet(work, before) {
  if (work.pass !== 'fillets' || work === before) return false;
  const [now, then] = [chosenFillet(work), chosenFillet(before)];
  return now !== null && now !== then;
}

/** In a narrow window a pass unfolds over the model, so it starts folded and gives way to a trace. */
function mountNarrow(store) {
  const narrow = matchMedia('(max-width: 48rem)');
  const fold = () => store.dispatch({ type: 'fold-pass', folded: true });
  if (narrow.matches) fold();
  narrow.addEventListener('change', () => narrow.matches && fold());
  store.subscribe(({ work }, before) => {
    const chosen = work.selection.join !== null && work.selection.join !== before.work.selection.join;
    if (narrow.matches && chosen && !work.folded) fold();
    // The rows' drawer needs the room of the ledger too.
    const net = work.pass === 'rows' && work.selection.face !== null && work.selection.face !== before.work.selection.face;
    // So does that of fillets.
    const drawer = narrow.matches && (net || newFillet(work, before.work));
    if (drawer && !work.folded) fold();
    if (drawer && store.state.work.ledger.open && work.selection.finding === null) store.dispatch({ type: 'toggle-ledger', open: false });
  });
}
