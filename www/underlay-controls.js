// The block of the Reference pass that lays a picture against the model.

import { choice, el, fileInput, replace, tick } from './dom.js';
import { STRAIGHT, slide } from './slide.js';
import { texts } from './texts.js';
import { SIDES, underlayPixels } from './underlay.js';
import { apart, upright } from './underlay-place.js';

const words = texts.underlay;

const LAYERS = [
  { value: false, id: 'underlay-behind', label: words.behind },
  { value: true, id: 'underlay-front', label: words.front },
];

/** Opacity in steps of a twentieth; below the first the picture is better put away. */
const OPACITY = { min: 0.05, max: 1, step: 0.05, ...STRAIGHT };

/** `underlay`: underlay-verbs.js; `canvas`: the model, which takes the keys while places are picked. */
export function mountUnderlay(root, store, underlay, canvas) {
  const head = el('div', { class: 'block' });
  const side = el('div', { class: 'block' });
  const looks = el('div', { class: 'block' });
  const match = el('div', { class: 'block' });
  const numbers = el('div', { class: 'block' });
  root.id = 'underlay-block';
  root.dataset.drop = words.drop;
  replace(root, el('h3', {}, words.title), head, side, looks, match, numbers);
  mountDropped(root, store, underlay);
  mountHead(head, store, underlay);
  mountSide(side, store, underlay);
  mountLooks(looks, store, underlay);
  mountMatch(match, store, underlay, canvas);
  mountNumbers(numbers, store, underlay);
  store.watch(
    ({ work, review }) => [work.model, work.graphics, work.underlayPixels, work.underlayLook.seen, review.underlay],
    (state) => {
      const { work } = state;
      const there = underlayPixels(state) !== null;
      root.hidden = !work.model || work.graphics !== 'ok';
      looks.hidden = numbers.hidden = !there;
      match.hidden = !there || !work.underlayLook.seen;
    },
  );
}

/** A file dropped here is the picture, not another model. */
function mountDropped(root, store, underlay) {
  const carries = (event) => event.dataTransfer?.types.includes('Files');
  const mark = (on) => root.classList.toggle('dropping', on);
  root.addEventListener('dragover', (event) => carries(event) && mark(true));
  root.addEventListener('dragleave', (event) => root.contains(event.relatedTarget) || mark(false));
  root.addEventListener('drop', (event) => {
    if (!carries(event)) return;
    event.preventDefault();
    mark(false);
    if (event.dataTransfer.files[0]) underlay.open(event.dataTransfer.files[0]);
  });
}

function mountHead(root, store, underlay) {
  const input = fileInput('underlay-input', words.open, (file) => underlay.open(file), 'image/png,image/jpeg,image/webp');
  const open = el('button', { type: 'button', id: 'underlay-open', on: { click: () => input.click() } });
  const away = () => {
    open.focus({ preventScroll: true }); // the button that was pressed goes
    underlay.close();
  };
  const close = el('button', { type: 'button', id: 'underlay-close', on: { click: away } }, words.close);
  const note = el('p', { class: 'quiet', id: 'underlay-note' });
  replace(root, note, el('div', { class: 'buttons' }, open, input, close));
  store.watch(
    ({ work, review }) => [work.underlayPixels, work.underlayLook.reading, review.underlay],
    (state) => {
      const placed = state.review.underlay;
      const pixels = underlayPixels(state);
      const { reading } = state.work.underlayLook;
      open.textContent = placed ? words.another : words.open;
      close.hidden = !placed;
      note.textContent = reading
        ? words.reading(reading)
        : pixels
          ? words.file(pixels.name, pixels.width, pixels.height)
          : placed
            ? words.gone(placed.file)
            : words.hint;
    },
  );
}

function mountSide(root, store, underlay) {
  const state = el('p', { class: 'quiet', id: 'underlay-state' });
  const sides = el('div', {});
  const turn = () => (store.state.work.underlayLook.seen ? underlay.look({ off: true }) : underlay.back());
  const show = el('button', { type: 'button', id: 'underlay-show', on: { click: turn } });
  const row = el('div', { class: 'buttons' }, show);
  replace(root, el('h4', {}, words.side), sides, state, row);
  const options = SIDES.map((one) => ({ value: one, id: `underlay-side-${one}`, label: one === 'own' ? words.own : texts.view[one] }));
  store.watch(
    ({ work, review }) => [work.underlayLook, work.underlayPixels, review.underlay],
    (now) => {
      const { seen, side } = now.work.underlayLook;
      const there = underlayPixels(now) !== null;
      const chosen = there ? now.review.underlay.view.side : side;
      replace(sides, choice(words.side, options, chosen, (one) => underlay.toSide(one), 'pairs underlay-sides'));
      state.hidden = !there;
      state.textContent = seen ? words.seen : words.away;
      row.hidden = !there;
      show.textContent = seen ? words.free : words.back;
      show.title = seen ? words.freeHint : words.backHint;
    },
  );
}

function mountLooks(root, store, underlay) {
  let held = 0; // one drag of the slider is one step to undo
  const opacity = slide({
    id: 'underlay-opacity',
    label: words.opacity,
    run: OPACITY,
    said: (x) => `${Math.round(100 * x)} %`,
    set: (x) => underlay.set({ opacity: x }, `underlay-opacity ${held}`),
  });
  opacity.row.addEventListener('change', () => (held += 1));
  const rest = el('div', { class: 'block' });
  replace(root, el('h4', {}, words.look), opacity.row, rest);
  store.watch(
    ({ work, review }) => [review.underlay, work.underlayLook.wipe],
    ({ work, review: { underlay: placed } }) => {
      if (!placed) return;
      opacity.show(placed.opacity);
      replace(
        rest,
        choice(words.layers, LAYERS, placed.front, (front) => underlay.set({ front })),
        tick('underlay-flip', words.flip, placed.flip, (flip) => underlay.set({ flip })),
        tick('underlay-wipe', words.wipe, work.underlayLook.wipe !== null, (on) => underlay.look({ wipe: on ? 0.5 : null })),
      );
    },
  );
}

function mountMatch(root, store, underlay, canvas) {
  const aim = (what) => {
    underlay.aim(store.state.work.underlayLook.aim === what ? null : what);
    if (store.state.work.underlayLook.aim) canvas.focus({ preventScroll: true });
  };
  const pick = el('button', { type: 'button', id: 'underlay-pick', on: { click: () => aim('picture') } });
  const ends = el('button', { type: 'button', id: 'underlay-ends', title: words.endsHint, on: { click: () => aim('model') } }, words.ends);
  const distance = number('underlay-distance', words.distance, words.distanceHint, (mm) => underlay.measure(mm));
  const note = el('p', { class: 'quiet', id: 'underlay-picks' });
  replace(root, el('h4', {}, words.match), note, el('div', { class: 'buttons' }, pick), distance.row, el('div', { class: 'buttons' }, ends));
  store.watch(
    ({ work, review }) => [work.underlayLook, work.underlayPixels, review.underlay],
    (state) => {
      const { aim: aimed, marks, ends: picked } = state.work.underlayLook;
      const pixels = underlayPixels(state);
      const both = pixels !== null && marks.length === 2;
      pick.textContent = both ? words.pickAgain : words.pick;
      pick.setAttribute('aria-pressed', String(aimed === 'picture'));
      ends.setAttribute('aria-pressed', String(aimed === 'model'));
      distance.row.hidden = ends.hidden = !both;
      if (both) distance.set(apart(state.review.underlay, pixels, marks));
      note.textContent = aimed ? words.aims[aimed][(aimed === 'picture' ? marks : picked).length] : both ? words.distanceHint : words.matchHint;
    },
  );
}

function mountNumbers(root, store, underlay) {
  const boxes = ['x', 'y', 'width', 'turn'].map((name) => [
    name,
    number(`underlay-${name}`, words[name], name === 'turn' ? words.turnHint : null, (x) => underlay.set({ [name]: name === 'turn' ? upright(x) : x })),
  ]);
  const cover = el('button', { type: 'button', id: 'underlay-cover', on: { click: () => underlay.cover() } }, words.cover);
  replace(root, el('h4', {}, words.numbers), boxes.map(([, { row }]) => row), el('div', { class: 'buttons' }, cover));
  store.watch(
    ({ review }) => [review.underlay],
    ({ review: { underlay: placed } }) => placed && boxes.forEach(([name, { set }]) => set(placed[name])),
  );
}

/** A labelled number; what is none is not taken, and the box shows again what holds. */
function number(id, label, hint, take) {
  let shown = '';
  const box = el('input', {
    type: 'number',
    id,
    step: 'any',
    title: hint,
    on: {
      change: () => {
        if (box.value !== '' && Number.isFinite(Number(box.value))) take(Number(box.value));
        box.value = shown;
      },
    },
  });
  return {
    row: el('div', { class: 'field pair' }, el('label', { for: id }, label), box),
    set: (value) => (box.value = shown = String(Number(value.toFixed(3)))),
  };
}
