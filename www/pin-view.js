// Pins on the model: a numbered flag at the place of each, and the lines drawn for those that the view is that of.

import { el, replace, svg } from './dom.js';
import { chosenPin, pinsHere } from './pins.js';
import { sameStand, sameWay } from './strokes.js';

/** From a pin's place up to the middle of its flag, CSS pixels, and how far from that a click may be off. */
const RISE = 22;
const REACH = 14;

/** Rest of the view before it is asked which flags stand behind the model, ms. Shorter asks on the way; longer is seen as a change of mind. */
const REST = 200;
/** Flags that are asked for. Each costs a look along a ray. */
const ASKED = 120;
/** How far before its place something must lie to hide it, share of the camera's distance: the place itself lies on a surface. */
const BEFORE = 2e-3;

/** `root`: an element over the whole canvas; `sheet`: an SVG element of the same size. */
export function mountPinView(root, sheet, store, scene, pins) {
  root.setAttribute('aria-hidden', 'true'); // the ledger lists them
  sheet.setAttribute('aria-hidden', 'true');
  let flags = []; // {pin, node, spot}
  let lines = []; // {pin, node, points}
  let resting = 0;

  function place() {
    const camera = scene.camera();
    const spots = scene.onScreen(flags.map(({ pin }) => pin.place));
    flags.forEach((flag, i) => {
      flag.spot = spots[i];
      flag.node.hidden = !spots[i];
      if (spots[i]) flag.node.style.transform = `translate(${spots[i][0].toFixed(1)}px, ${spots[i][1].toFixed(1)}px)`;
    });
    const chosen = chosenPin(store.state);
    for (const { pin, node, points } of lines) {
      const seen = camera !== null && (pin === chosen ? sameWay(camera, pin.camera) : sameStand(camera, pin.camera));
      node.toggleAttribute('hidden', !seen);
      if (seen) node.setAttribute('d', drawn(scene.onScreen(points)));
    }
    clearTimeout(resting);
    if (flags.length > 0) resting = setTimeout(look, REST);
  }

  /** Tells flags at places that the model hides. */
  function look() {
    const camera = scene.camera();
    if (!camera || store.state.work.graphics !== 'ok') return;
    const [cp, sp, cy, sy] = [Math.cos(camera.pitch), Math.sin(camera.pitch), Math.cos(camera.yaw), Math.sin(camera.yaw)];
    const back = [cp * cy, cp * sy, sp];
    for (const { pin, node, spot } of flags.slice(0, ASKED)) {
      const hit = spot && scene.pickAt(...spot);
      const before = hit ? back.reduce((sum, x, k) => sum + x * (hit.point[k] - pin.place[k]), 0) : 0;
      node.classList.toggle('behind', before > BEFORE * camera.distance);
    }
  }

  /** A click near a flag goes to its pin, unless places are picked. */
  function take(x, y) {
    const { probe, centre } = store.state.work;
    if (probe.next || centre.picks) return false;
    const near = flags.filter(({ spot }) => spot && Math.max(Math.abs(x - spot[0]), Math.abs(y - (spot[1] - RISE))) <= REACH);
    if (near.length === 0) return false;
    // The one drawn last lies on top.
    pins.go(near.at(-1).pin);
    return true;
  }

  scene.onView(place);
  scene.onChoose(take);
  store.watch(
    ({ work, review }) => [review.pins, work.selection, work.pinView, work.model, work.graphics],
    (state) => {
      const { shown } = state.work.pinView;
      const chosen = chosenPin(state);
      const here = pinsHere(state).filter((pin) => shown || pin === chosen);
      // The chosen one on top.
      const ordered = [...here.filter((pin) => pin !== chosen), ...here.filter((pin) => pin === chosen)];
      flags = ordered.map((pin) => ({ pin, node: flag(pin, pin === chosen), spot: null }));
      lines = here.flatMap((pin) => pin.strokes.map((points) => ({ pin, points, node: svg('path', { data: { pin: String(pin.key) } }) })));
      replace(root, flags.map(({ node }) => node));
      replace(sheet, lines.map(({ node }) => node));
      place();
    },
  );
}

function flag({ key, severity, state }, chosen) {
  const classes = ['pin-flag', state !== 'open' && 'settled', chosen && 'chosen'].filter(Boolean).join(' ');
  return el('span', { class: classes, data: { pin: String(key) } }, el('b', {}, el('span', { class: `bar ${severity}` }), String(key)));
}

/** Points on the canvas as a path; a single one is a dot. Nothing where one of them is not before the eye. */
export function drawn(spots) {
  if (!spots.every(Boolean)) return '';
  const places = spots.map(([x, y]) => `${x.toFixed(1)} ${y.toFixed(1)}`);
  return `M${(places.length > 1 ? places : [...places, ...places]).join('L')}`;
}
