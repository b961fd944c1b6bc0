// Moving control points by hand: choosing one of the chosen patch's net, and moving it by pointer, by key or by number. Each move is an edit of a
// trial; what is drawn comes back from the worker.

import { choice, el, replace, tick, triple } from './dom.js';
import { diagonal, faceName } from './records.js';
import { shownNet } from './scene-hand.js';
import { texts } from './texts.js';
import { trialsHere } from './trials.js';

const words = texts.trials.hand;

/** How near a click means a control point, CSS pixels. Larger takes clicks that are meant for the next patch. */
const REACH = 14;

/** Share of the model's size by which places are shifted to see how the view takes them. */
const SHIFT = 1e-3;

const LOCKS = ['free', 'g0', 'g1', 'g2', 'g3'];
/** What is kept of a side on the centre plane, whose mirror image moves along. */
const CENTRE = ['centre g1', 'centre g3'];
const WAYS = ['view', 'normal', 'u', 'v'];
const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

const dot = (a, b) => a.reduce((sum, x, i) => sum + x * b[i], 0);
const sum = (a, b) => a.map((x, i) => x + b[i]);
const times = (a, t) => a.map((x) => x * t);

const planeOf = ({ summary: { mirror } }) => ({ normal: mirror.normal, offset: mirror.offset });

/** The face that is the mirror image of one, itself where it runs through the plane; null where there is none. */
function twinOf({ summary: { mirror } }, face) {
  if (!mirror) return null;
  if (mirror.own.includes(face)) return face;
  const pair = mirror.pairs.find((one) => one.includes(face));
  return pair ? pair[pair[0] === face ? 1 : 0] : null;
}

export function createHand(store, scene) {
  /** The trial that moves the chosen point: the last of the list, if it does. */
  function current() {
    const { hand, selection } = store.state.work;
    const last = trialsHere(store.state).at(-1);
    const { edit } = last ?? {};
    return edit?.edit === 'drag' && last.on && edit.face === selection.face && hand.at && edit.point[0] === hand.at[0] && edit.point[1] === hand.at[1] ? last : null;
  }

  const by = () => current()?.edit.by ?? [0, 0, 0];

  /** The edit as it is set now. */
  function edit(moved) {
    const { hand, selection, model } = store.state.work;
    const image = hand.twin ? twinOf(model, selection.face) : null;
    const twin = image === null ? null : { face: image, plane: planeOf(model) };
    const locks = hand.locks.map((lock) => (lock === 'free' ? lock : lock.startsWith('centre ') ? { centre: lock.slice(7), plane: planeOf(model) } : { held: lock }));
    return { edit: 'drag', face: selection.face, point: [...hand.at], by: moved, reach: [...hand.reach], locks, twin };
  }

  /** Moves the point to so far from where it was, mm. */
  function moveTo(moved, gesture) {
    const { hand, model } = store.state.work;
    if (!hand.at || !model || !moved.every(Number.isFinite)) return;
    const one = current();
    if (one) store.dispatch({ type: 'set-trial', key: one.key, change: { edit: edit(moved) }, gesture });
    else store.dispatch({ type: 'add-trial', model: model.name, name: words.name, edit: edit(moved), gesture });
  }

  /** How the view takes small moves of the point: pixels to the right and down of one mm in x, y and z. */
  function view() {
    const net = shownNet(store.state.work);
    if (!net?.at) return null;
    const h = SHIFT * (diagonal(store.state.work.model.summary) || 1);
    const p = net.at.point;
    const spots = scene.onScreen([p, ...[0, 1, 2].map((k) => p.map((x, i) => (i === k ? x + h : x)))]);
    if (spots.some((spot) => !spot)) return null;
    const [at, ...others] = spots;
    return [0, 1].map((k) => others.map((spot) => (spot[k] - at[k]) / h));
  }

  /** The move in mm that looks like one of so many pixels, along the way that is set. */
  function seen(pixels, [right, down]) {
    const { hand } = store.state.work;
    if (hand.way !== 'view') {
      const along = hand.net.at[hand.way];
      const look = [dot(right, along), dot(down, along)];
      const size = dot(look, look);
      // Along the line of sight a drag says nothing.
      return size > 1e-12 ? times(along, dot(look, pixels) / size) : [0, 0, 0];
    }
    const [a, b, c] = [dot(right, right), dot(right, down), dot(down, down)];
    const size = a * c - b * b;
    if (!(size > 0)) return [0, 0, 0];
    return sum(times(right, (c * pixels[0] - b * pixels[1]) / size), times(down, (a * pixels[1] - b * pixels[0]) / size));
  }

  return {
    by,
    moveTo,
    view,
    seen,
    /** A step by key. */
    step([x, y], factor, gesture) {
      const { hand } = store.state.work;
      const looks = view();
      if (!shownNet(store.state.work)?.at) return;
      let move;
      if (hand.way === 'view') {
        if (!looks) return;
        const d = seen([x, y], looks);
        move = times(d, (hand.step * factor) / (Math.hypot(...d) || 1));
      } else move = times(hand.net.at[hand.way], (x - y) * hand.step * factor);
      moveTo(sum(by(), move), gesture);
    },
    /** Sets reach, locks or twin, of the trial that moves the point too. */
    set(change) {
      store.dispatch({ type: 'set-hand', hand: change });
      const one = current();
      if (one) store.dispatch({ type: 'set-trial', key: one.key, change: { edit: edit(by()) } });
    },
    /** A click on the canvas; true when it was meant for a control point. */
    take(x, y) {
      const net = shownNet(store.state.work);
      if (!net) return false;
      const points = Array.from({ length: net.points.length / 3 }, (_, i) => net.points.slice(3 * i, 3 * i + 3));
      let [nearest, best] = [REACH, -1];
      scene.onScreen(points).forEach((spot, i) => {
        const off = spot ? Math.hypot(spot[0] - x, spot[1] - y) : Infinity;
        if (off < nearest) [nearest, best] = [off, i];
      });
      if (best < 0) return false;
      choose(store, [Math.floor(best / net.columns), best % net.columns]);
      return true;
    },
  };
}

const choose = (store, at) => store.dispatch({ type: 'set-hand', hand: { at }, say: words.chosen(at[0] + 1, at[1] + 1) });

/** The control point on the model, to be dragged or moved by arrow keys. `root`: an element over the whole canvas. */
export function mountHandle(root, store, scene, hand) {
  let moves = 0; // one drag, or one held key, is one step to undo
  let held = null; // {id, x, y, by, looks}
  const handle = el('button', { type: 'button', id: 'trial-handle', class: 'handle', 'aria-label': words.handle, title: words.handleHint });
  root.append(handle);
  handle.addEventListener('pointerdown', (event) => {
    const looks = hand.view();
    if (event.button !== 0 || held || !looks) return;
    event.preventDefault();
    handle.focus({ preventScroll: true });
    handle.setPointerCapture(event.pointerId);
    moves += 1;
    held = { id: event.pointerId, x: event.clientX, y: event.clientY, by: hand.by(), looks };
    handle.classList.add('held');
  });
  handle.addEventListener('pointermove', (event) => {
    if (held?.id !== event.pointerId) return;
    hand.moveTo(sum(held.by, hand.seen([event.clientX - held.x, event.clientY - held.y], held.looks)), `hand ${moves}`);
  });
  const release = (event) => {
    if (held?.id !== event.pointerId) return;
    held = null;
    handle.classList.remove('held');
  };
  handle.addEventListener('pointerup', release);
  handle.addEventListener('pointercancel', release);
  handle.addEventListener('keydown', (event) => {
    const arrow = ARROWS[event.key];
    if (!arrow || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    if (!event.repeat) moves += 1;
    hand.step(arrow, event.shiftKey ? 10 : 1, `hand ${moves}`);
  });
  function place() {
    const net = shownNet(store.state.work);
    const [spot] = net?.at ? scene.onScreen([net.at.point]) : [null];
    root.hidden = !spot;
    if (!spot) return;
    handle.style.transform = `translate(${spot[0].toFixed(1)}px, ${spot[1].toFixed(1)}px)`;
    Object.assign(handle.dataset, { point: net.at.point.join(' '), at: `${net.at.row + 1} ${net.at.column + 1}` });
  }
  scene.onView(place);
  store.watch(({ work }) => [work.hand, work.pass, work.trialView.before, work.selection, work.graphics], place);
}

/** The controls. `hand`: createHand(). */
export function mountHand(root, store, hand) {
  root.id = 'trial-hand';
  store.watch(
    (state) => [state.work.hand, state.work.model, state.work.selection.face, trialsHere(state)],
    ({ work }) => {
      const { model, selection } = work;
      const mine = work.hand;
      const net = mine.net?.face === selection.face ? mine.net : null;
      const set = (change) => store.dispatch({ type: 'set-hand', hand: change });
      replace(
        root,
        model && [
          el('h3', {}, words.title),
          tick('hand-on', words.on, mine.on, (on) => set({ on, at: null, net: null })),
          mine.on && el('p', { class: 'quiet' }, selection.face === null || selection.face === undefined ? words.choose : net ? faceName(model.summary, selection.face) : words.choose),
          mine.on && net && controls(net, mine, model, store, hand, set),
        ],
      );
    },
  );
}

function controls(net, mine, model, store, hand, set) {
  const whole = (id, label, value, least, most, take) => {
    const box = el('input', { type: 'number', id, min: least, max: most, step: 1, value: value === null ? '' : String(value), on: { change: () => take(Math.min(most, Math.max(least, Math.round(Number(box.value) || 0)))) } });
    return el('div', { class: 'field pair' }, el('label', { for: id }, label), box);
  };
  const at = mine.at ?? [0, 0];
  const place = (k, value) => choose(store, at.map((x, i) => (i === k ? value - 1 : x)));
  const step = el('input', { type: 'number', id: 'hand-step', min: 0, step: 'any', value: String(mine.step), on: { change: () => Number(step.value) > 0 && Number.isFinite(Number(step.value)) && set({ step: Number(step.value) }) } });
  const lock = (i) =>
    el(
      'div',
      { class: 'field pair' },
      el('label', { for: `hand-lock-${i}` }, words.sides[i]),
      el(
        'select',
        { id: `hand-lock-${i}`, on: { change: ({ target }) => hand.set({ locks: mine.locks.with(i, target.value) }) } },
        [...LOCKS, ...(model.summary.mirror ? CENTRE : [])].map((value) => el('option', { value, selected: value === mine.locks[i] }, words.lock[value])),
      ),
    );
  return [
    !mine.at && el('p', { class: 'quiet' }, words.point),
    whole('hand-row', words.row, mine.at && at[0] + 1, 1, net.rows, (value) => place(0, value)),
    whole('hand-column', words.column, mine.at && at[1] + 1, 1, net.columns, (value) => place(1, value)),
    mine.at && [
      choice(words.way, WAYS.map((value) => ({ id: `hand-way-${value}`, value, label: words.ways[value] })), mine.way, (way) => set({ way }), 'tall'),
      el('div', { class: 'field pair' }, el('label', { for: 'hand-step' }, words.step), step),
      el('div', { class: 'field' }, el('span', { class: 'label' }, words.by), triple('hand-by', words.by, hand.by(), (moved) => hand.moveTo(moved))),
    ],
    [0, 1].map((i) => whole(`hand-reach-${i}`, words.reach[i], mine.reach[i], 0, 100, (value) => hand.set({ reach: mine.reach.with(i, value) }))),
    el('h4', {}, words.locks),
    [0, 1, 2, 3].map(lock),
    twinOf(model, net.face) !== null && tick('hand-twin', words.twin, mine.twin, (twin) => hand.set({ twin })),
  ];
}
