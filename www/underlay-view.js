// The picture on the stage: drawn behind or in front of the model, with its wipe, the places picked, and the lock of the view.

import { createDivider } from './divider.js';
import { el, replace, svg } from './dom.js';
import { texts } from './texts.js';
import { underlayPixels } from './underlay.js';
import { axes, flat, looksAlong, toPlane } from './underlay-place.js';

const words = texts.underlay;

/** Arm of the cross at a place picked, CSS pixels. */
const ARM = 9;

/** `sheet`: the canvas it is drawn on, of the model's size; `over`: what lies over both. */
export function mountUnderlayView(surface, sheet, over, store, scene, underlay) {
  const pen = sheet.getContext('2d');
  const marks = svg('svg', { id: 'underlay-marks', 'aria-hidden': 'true' });
  const divider = createDivider({
    id: 'underlay-divider',
    label: words.divider,
    box: () => sheet.getBoundingClientRect(),
    at: () => store.state.work.underlayLook.wipe,
    move: (at) => underlay.look({ wipe: Math.min(1, Math.max(0, at)) }),
  });
  const bar = el('div', { id: 'underlay-bar' });
  replace(over, marks, divider.node, bar);
  let drawn = null; // what the sheet shows

  /** The plane's place on the canvas: [x, y] of [a, b] and back; null while there is no picture of the model. */
  function frame() {
    const camera = scene.camera();
    if (!camera) return null;
    const { right, up } = axes(camera);
    const step = camera.distance / 10;
    const spots = scene.onScreen([camera.target, camera.target.map((x, i) => x + step * right[i])]);
    if (!spots.every(Boolean)) return null;
    const [[cx, cy], [dx]] = spots;
    const scale = (dx - cx) / step;
    const [a, b] = flat({ right, up }, camera.target);
    return {
      camera,
      put: ([x, y]) => [cx + (x - a) * scale, cy - (y - b) * scale],
      back: ([x, y]) => [a + (x - cx) / scale, b - (y - cy) / scale],
    };
  }

  function place() {
    const { work, review } = store.state;
    const look = work.underlayLook;
    const pixels = underlayPixels(store.state);
    const now = pixels && work.model && !look.off ? frame() : null;
    const seen = Boolean(now && looksAlong(now.camera, review.underlay.view));
    if (seen !== look.seen) {
      const say = seen ? words.saySeen : look.off || !pixels ? undefined : words.sayAway;
      // Comes back here by the store, as all of the page does.
      return underlay.look({ seen, ...(!seen && { aim: null }) }, say);
    }
    sheet.hidden = !seen;
    if (seen) draw(now, pixels, review.underlay, look.wipe);
    replace(marks, seen ? spots(now, pixels, review.underlay, look) : []);
  }

  function draw({ put }, pixels, placed, wipe) {
    const box = sheet.getBoundingClientRect();
    const ratio = Math.min(devicePixelRatio || 1, 2);
    const [width, height] = [box.width, box.height].map((x) => Math.max(1, Math.round(x * ratio)));
    const [zero, one, down] = [[0, 0], [1, 0], [0, 1]].map((at) => put(toPlane(placed, pixels, at)));
    const matrix = [one[0] - zero[0], one[1] - zero[1], down[0] - zero[0], down[1] - zero[1], ...zero].map((x) => x * ratio);
    const wanted = [pixels, width, height, wipe, ...matrix];
    if (drawn && wanted.every((x, i) => x === drawn[i])) return;
    drawn = wanted;
    if (sheet.width !== width || sheet.height !== height) Object.assign(sheet, { width, height });
    pen.setTransform(1, 0, 0, 1, 0, 0);
    pen.clearRect(0, 0, width, height);
    pen.save();
    pen.beginPath();
    pen.rect(0, 0, wipe === null ? width : wipe * width, height);
    pen.clip();
    pen.imageSmoothingQuality = 'medium';
    pen.setTransform(...matrix);
    pen.drawImage(pixels.bitmap, 0, 0);
    pen.restore();
  }

  scene.onView(place);
  scene.onChoose((x, y) => underlay.take(frame()?.back([x, y])));
  store.watch(
    ({ work, review }) => [review.underlay, work.underlayPixels, work.underlayLook, work.graphics, work.model, work.beside],
    ({ work, review }) => {
      const { seen, aim, wipe } = work.underlayLook;
      if (review.underlay) sheet.style.opacity = review.underlay.opacity;
      if (seen && review.underlay) surface.dataset.underlay = review.underlay.front ? 'front' : 'behind';
      else delete surface.dataset.underlay;
      surface.classList.toggle('aiming', aim !== null);
      // Beside another model there is one line already.
      divider.node.hidden = !seen || wipe === null || work.beside !== null;
      divider.show(wipe ?? 1);
      place();
    },
  );
  store.watch(
    ({ work, review }) => [review.underlay, work.underlayPixels, work.underlayLook, work.graphics, work.model],
    (state) => {
      // What is pressed here gives way to what comes next: the focus goes there.
      const held = bar.contains(document.activeElement);
      replace(bar, barOf(state, underlay));
      if (held && !bar.contains(document.activeElement)) bar.querySelector('button')?.focus({ preventScroll: true });
    },
  );
}

/** The lock, or the way back to it; what is to be picked next while places are picked. */
function barOf(state, underlay) {
  const { work, review } = state;
  const { seen, aim, marks, ends } = work.underlayLook;
  if (!underlayPixels(state) || !work.model || work.graphics !== 'ok') return [];
  const button = (id, label, hint, click) => el('button', { type: 'button', id, title: hint, on: { click } }, label);
  if (!seen) return [button('underlay-back', words.back, words.backHint, () => underlay.back())];
  if (aim) {
    const done = (aim === 'picture' ? marks : ends).length;
    return [
      el('p', { id: 'underlay-aim' }, words.aims[aim][done], ' ', el('span', { class: 'quiet' }, words.aimKeys)),
      button('underlay-stop', words.cancel, words.aimKeys, () => underlay.aim(null)),
    ];
  }
  const { side } = review.underlay.view;
  return [
    el('p', { id: 'underlay-lock' }, words.locked(side === 'own' ? words.ownName : texts.view[side])),
    button('underlay-free', words.free, words.freeHint, () => underlay.look({ off: true })),
  ];
}

/** Crosses at the places picked, numbered: on the picture, and round ones where these shall lie. */
function spots({ put }, pixels, placed, { marks, ends, aim }) {
  const cross = (at, n, kind) => {
    const [x, y] = put(at).map((v) => Number(v.toFixed(1)));
    const path = kind === 'mark' ? `M${-ARM} 0H${ARM}M0 ${-ARM}V${ARM}` : `M${-ARM} 0A${ARM} ${ARM} 0 1 1 ${ARM} 0A${ARM} ${ARM} 0 1 1 ${-ARM} 0M-2 0H2M0 -2V2`;
    return svg(
      'g',
      { class: `underlay-${kind}`, transform: `translate(${x} ${y})` },
      svg('path', { d: path, class: 'casing' }),
      svg('path', { d: path }),
      svg('text', { x: ARM + 3, y: -5 }, String(n + 1)),
    );
  };
  return [
    ...marks.map((mark, n) => cross(toPlane(placed, pixels, mark), n, 'mark')),
    ...ends.map((end, n) => cross(end, n, 'end')),
    aim && svg('path', { id: 'underlay-middle', d: `M${-2 * ARM} 0H${2 * ARM}M0 ${-2 * ARM}V${2 * ARM}` }),
  ];
}
