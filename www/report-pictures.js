// Pictures for a report: the model as a whole, and each finding and pin as it is looked at, all of one size on white paper, with a
// ring round the place and the lines that were drawn for a pin.

import { entriesOf } from './entries.js';
import { flightTo } from './records.js';
import { texts } from './texts.js';

const words = texts.handedOver;

/** Size of a picture, pixels, and how well it is kept. Larger ones make a report that cannot be sent; smaller ones hide what is meant. */
const WIDTH = 960;
const HEIGHT = 600;
const QUALITY = 0.86;

/** Pictures of a report. Each has some 60 kB. */
const MOST = 60;

/** Radius of the ring, and strength of lines, pixels. */
const RING = 22;
const PEN = 3;

/** Entries that are pictured, worst first; `which`: none, serious (pins, serious and to fix) or all. */
export function pictured(state, which) {
  if (which === 'none') return [];
  const wanted = ({ pin, severity, state: said }) => (pin ? true : said !== 'waived' && said !== 'fixed' && (which === 'all' || severity === 'serious' || severity === 'fix'));
  return entriesOf(state).filter(wanted).slice(0, MOST);
}

/**
 * Takes them one by one: [{of: 'whole', {finding: index} or {pin: key}, data, alt, width, height}], the whole first. `tell(done, of)`;
 * stops where `stopped()`. The page is as it was afterwards.
 */
export async function takePictures(store, scene, entries, tell, stopped) {
  const before = store.state.work;
  const camera = scene.bound();
  const taken = [];
  scene.pose(WIDTH, HEIGHT);
  try {
    store.dispatch({ type: 'choose-nothing' });
    toPass(store, 'overview');
    scene.fit();
    await scene.still();
    taken.push({ of: 'whole', alt: words.whole(before.model.name), ...kept(scene, null) });
    for (const [i, entry] of entries.entries()) {
      if (stopped()) return [];
      tell(i + 1, entries.length);
      lookAt(entry, store, scene);
      await scene.still();
      const of = entry.pin ? { pin: entry.pin.key } : { finding: before.findings.indexOf(entry.finding) };
      taken.push({ of, alt: words.of(entry.title), ...kept(scene, entry) });
    }
    return stopped() ? [] : taken;
  } finally {
    back(before, store);
    scene.unpose();
    if (camera) scene.flyHome({ ...camera, width: 1, height: 1 });
  }
}

function lookAt({ finding, pin }, store, scene) {
  if (pin) {
    toPass(store, pin.pass);
    store.dispatch({ type: 'choose-pin', key: pin.key });
    scene.light(pin.lamps);
    scene.flyHome({ ...pin.camera, width: 1, height: 1 });
    return;
  }
  toPass(store, texts.measures[finding.measure]?.[2] ?? 'overview');
  store.dispatch({ type: 'choose-finding', finding, flight: flightTo(finding, store.state.work.joins) });
}

function toPass(store, pass) {
  const { pass: open, folded } = store.state.work;
  if (pass === open) return;
  store.dispatch({ type: 'choose-pass', pass });
  store.dispatch({ type: 'fold-pass', folded });
}

/** What was open and chosen before. */
function back({ pass, selection, trace, measure }, store) {
  toPass(store, pass);
  store.dispatch({ type: 'restore-selection', selection, trace, measure });
}

/** The picture now, as {data, width, height}. */
function kept(scene, entry) {
  const sheet = document.createElement('canvas');
  Object.assign(sheet, { width: WIDTH, height: HEIGHT });
  const pen = sheet.getContext('2d');
  pen.fillStyle = '#fff';
  pen.fillRect(0, 0, WIDTH, HEIGHT);
  scene.drawOnto(pen, WIDTH, HEIGHT);
  if (entry) marked(pen, scene, entry);
  return { data: sheet.toDataURL('image/jpeg', QUALITY), width: WIDTH, height: HEIGHT };
}

function marked(pen, scene, { finding, pin }) {
  const place = pin?.place ?? finding.place?.point ?? finding.place;
  const [at] = scene.onScreen([place]);
  const lines = (pin?.strokes ?? []).map((points) => scene.onScreen(points)).filter((spots) => spots.every(Boolean));
  // White under black is seen on any colour.
  for (const [colour, width] of [['#fff', 2 * PEN], ['#211e19', PEN]]) {
    Object.assign(pen, { strokeStyle: colour, lineWidth: width, lineCap: 'round', lineJoin: 'round' });
    pen.beginPath();
    for (const spots of lines) spots.forEach(([x, y], i) => (i === 0 ? pen.moveTo(x, y) : pen.lineTo(x, y)));
    if (at) {
      pen.moveTo(at[0] + RING, at[1]);
      pen.arc(at[0], at[1], RING, 0, 2 * Math.PI);
    }
    pen.stroke();
  }
}
