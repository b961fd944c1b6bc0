// One WebGL2 context for all elements of a page: browsers keep few. Each element has a viewer of its own on one canvas that nobody sees, and
// copies each picture onto a canvas of its own before the next viewer draws there.

import { el } from './dom.js';
import { texts } from './texts.js';
import { learnMeasures } from './texts/measures.js';
import { loadModule } from './wasm.js';
import { workFrom } from './workers.js';

/* global wasm_bindgen */

/** Elements at rest that keep their targets between the passes, 44 bytes a pixel each. More take memory that few pages need; fewer make two that move together begin anew. */
const KEPT = 2;

/** One that has not asked for the device for this long, ms, waits for nothing. Shorter lets a slow page change between pictures that are not done. */
const PATIENCE = 400;

let home = ''; // where the site's files lie
let loading = null; // {module, Viewer} on their way
let root = null; // the viewer that holds the context and the programs; it draws nothing
let canvas = null;
let holder = null; // whose picture is being made
let working = null; // who gave the device work last
let front = new Set(); // whose pictures come before all others'
let last = null; // who of them drew last
const seats = new Set();
const resting = new Set(); // seats that are done and have kept their targets, the oldest first

/** Says where the site's files lie, with a slash at the end. */
export function beginAt(address) {
  home = address;
  workFrom(address);
}

/** Address of a file of the site. */
export const ours = (name) => home + name;

/** {module, Viewer}, loaded once for the page. */
export function loadRuntime() {
  loading ??= load();
  // A later try may find the host again.
  loading.catch(() => (loading = null));
  return loading;
}

async function load() {
  if (typeof wasm_bindgen === 'undefined') await script(ours('rakelight.js'));
  const { module, Viewer, vocabulary, error } = await loadModule(home);
  if (error) throw new Error(`${texts.element.noModule} (${error})`);
  learnMeasures(vocabulary);
  return { module, Viewer };
}

/** rakelight.js is a classic script. */
function script(src) {
  return new Promise((done, fail) => {
    const node = el('script', { src, crossorigin: 'anonymous', on: { load: done, error: () => fail(new Error(texts.element.noModule)) } });
    document.head.append(node);
    node.remove();
  });
}

/**
 * A place on the stage. `sheet`: the element's own canvas, whose `dataset.frame` the scene keeps; `near()`: it is worth drawing; `take(from,
 * place)`: copies a picture. `renderer` is for `createScene(…).start`.
 */
export function takeSeat(Viewer, { sheet, near, take }) {
  const seat = { sheet, near, take, asked: -Infinity, asleep: false, viewer: null };
  seat.renderer = {
    create() {
      hold(Viewer);
      seat.viewer = dressed(root.another(), seat, Viewer.prototype);
      seats.add(seat);
      return seat.viewer;
    },
    map_colours: (steps) => Viewer.map_colours(steps),
    form_colours: (view, steps) => Viewer.form_colours(view, steps),
  };
  return seat;
}

/** Gives a seat up, with all that the device holds for it. */
export function leaveSeat(seat) {
  seats.delete(seat);
  resting.delete(seat);
  front.delete(seat);
  if (holder === seat) holder = null;
  if (working === seat) working = null;
  if (last === seat) last = null;
  seat.viewer?.sleep();
  seat.viewer?.free();
  seat.viewer = null;
}

/** Pictures of these come first from now on: they are what the user moves. */
export function prefer(some) {
  front = new Set(some);
}

/** A seat's picture is done. */
export function settled(seat) {
  resting.delete(seat);
  resting.add(seat);
  while (resting.size > KEPT) {
    const [oldest] = resting;
    resting.delete(oldest);
    if (isDone(oldest)) oldest.viewer.rest();
  }
}

/** Gives back what the device holds for a seat that nobody sees; it has its picture. */
export function sleep(seat) {
  if (!seat.viewer || seat.asleep || !isDone(seat)) return;
  seat.asleep = true;
  resting.delete(seat);
  seat.viewer.sleep();
}

const isDone = ({ sheet }) => sheet.dataset.frame === 'exact';

/** One context, when the first element needs it. */
function hold(Viewer) {
  if (root) return;
  canvas ??= el('canvas', {
    on: {
      webglcontextlost(event) {
        event.preventDefault();
        holder = working = null;
        tell('webglcontextlost');
      },
      webglcontextrestored() {
        try {
          root.free();
          root = Viewer.create(canvas);
          tell('webglcontextrestored');
        } catch {
          // It stays lost, as every element says.
        }
      },
    },
  });
  root = Viewer.create(canvas);
}

/** Scenes listen for it on their own canvas. */
const tell = (type) => [...seats].forEach(({ sheet }) => sheet.dispatchEvent(new Event(type, { cancelable: true })));

/** A viewer that waits for its turn and whose pictures are taken off the canvas. */
function dressed(viewer, seat, own) {
  const copy = () => {
    const place = own.given.call(viewer);
    if (place) seat.take(canvas, place);
  };
  viewer.ready = () => {
    if (!comesNow(seat)) return false;
    if (seat.asleep) {
      // What was told meanwhile may have left something there.
      own.sleep.call(viewer);
      viewer.revive();
    }
    return own.ready.call(viewer);
  };
  viewer.show = () => {
    const shown = own.show.call(viewer);
    copy();
    return shown;
  };
  viewer.draw = (quality) => {
    resting.delete(seat);
    working = last = seat;
    const done = own.draw.call(viewer, quality);
    copy();
    return done;
  };
  viewer.revive = () => {
    seat.asleep = false;
    own.wake.call(viewer, root);
  };
  viewer.atRest = () => own.ready.call(viewer);
  return viewer;
}

/** True when a seat may give the device work: one piece at a time, one picture after the other; those that move together take turns. */
function comesNow(seat) {
  seat.asked = performance.now();
  const waits = (one) => one !== seat && !isDone(one) && seat.asked - one.asked < PATIENCE;
  if (!seat.near()) return false;
  if (working && working !== seat && !working.viewer.atRest()) return false;
  if (front.has(seat)) return !(last === seat && [...front].some(waits));
  if ([...front].some(waits) || (holder && waits(holder))) return false;
  holder = seat;
  return true;
}
