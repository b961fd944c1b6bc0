// The lamp rig drawn over the model, with handles to drag: by pointer, by finger, or by arrow keys.
// Where they stand and what a drag means is the renderer's to say.

import { replace, svg } from './dom.js';
import { FIELDS, tidy, wrapped } from './lamp-rig.js';
import { texts } from './texts.js';

const words = texts.handles;

/** Degrees of one press of an arrow key; with Shift five times as many. */
const TURN = 2;
/** Ratio of one press for lengths: small enough to see each step, large enough to get across the range. */
const RATIO = 1.06;

const degrees = (value) => `${Math.round(value * 10) / 10}°`;
const share = (value) => String(Number(value.toPrecision(2)));

/**
 * Handles in the order of the Tab key; where two meet on the screen the later one is on top, so the direction comes last. `keys(lamps, x, y)`: what x steps to the right and y steps up make of the rig;
 * `slide`: the field that a screen reader is told of.
 */
const HANDLES = [
  {
    name: 'distance',
    slide: 'reach',
    of: 'lamps',
    shape: () => svg('rect', { x: -6, y: -6, width: 12, height: 12 }),
    keys: ({ reach }, x, y) => ({ reach: reach * RATIO ** (x + y) }),
    say: ({ reach }) => words.sizes(share(reach)),
  },
  {
    name: 'spacing',
    slide: 'spacing',
    of: 'lamps',
    shape: () => svg('path', { d: 'M0 -8 L8 0 L0 8 L-8 0 Z' }),
    keys: ({ spacing }, x, y) => ({ spacing: spacing * RATIO ** (x + y) }),
    say: ({ spacing }) => words.sizes(share(spacing)),
  },
  {
    name: 'step',
    slide: 'step',
    of: 'isophotes',
    shape: () => svg('path', { d: 'M0 -8 L8 0 L0 8 L-8 0 Z' }),
    keys: ({ step }, x, y) => ({ step: step + 0.5 * (x + y) }),
    say: ({ step }) => degrees(step),
  },
  {
    name: 'turn',
    slide: 'turn',
    of: 'lamps',
    shape: () => svg('path', { d: 'M0 -8 L7.5 6 L-7.5 6 Z' }),
    keys: ({ turn }, x, y) => ({ turn: wrapped(turn + (x + y) * TURN) }),
    say: ({ turn }) => degrees(turn),
  },
  {
    name: 'direction',
    slide: 'azimuth',
    shape: () => svg('circle', { r: 8 }),
    keys: ({ azimuth, elevation }, x, y) => ({ azimuth: wrapped(azimuth + x * TURN), elevation: elevation + y * TURN }),
    say: ({ azimuth, elevation }) => words.aimed(degrees(azimuth), degrees(elevation)),
  },
];

const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };

/** `root`: an SVG element as large as the canvas. */
export function mountLampHandles(root, store, scene, play) {
  root.setAttribute('role', 'group');
  root.setAttribute('aria-label', words.label);
  let grips = 0; // one drag, or one held key, is one step to undo
  const ball = svg('circle', { class: 'rig-ball' });
  const rings = svg('g', { class: 'rig-rings' });
  const lamps = svg('g', { class: 'rig-lamps' });
  const arm = svg('line', { class: 'rig-arm' });
  const handles = HANDLES.map((handle) => makeHandle(handle));
  replace(root, svg('g', { 'aria-hidden': 'true' }, ball, rings, arm, lamps), handles.map(({ node }) => node));

  const set = (lamps) => store.dispatch({ type: 'set-lamps', lamps: tidy(lamps), gesture: `grip ${grips}` });

  function makeHandle(handle) {
    const { min, max } = FIELDS.find(({ name }) => name === handle.slide);
    const value = svg('text', { class: 'rig-value', y: -16, 'aria-hidden': 'true' });
    const node = svg(
      'g',
      {
        id: `rig-${handle.name}`,
        class: 'rig-handle',
        tabindex: 0,
        role: 'slider',
        'aria-label': words[handle.name],
        'aria-valuemin': min,
        'aria-valuemax': max,
      },
      svg('title', {}, words[handle.name]),
      svg('circle', { class: 'rig-reach', r: 15 }),
      handle.shape(),
      value,
    );
    let held = null; // {id, x, y, lamps}: the pointer, where it went down, and the rig then
    node.addEventListener('pointerdown', (event) => {
      if (event.button !== 0 || held) return;
      event.preventDefault();
      event.stopPropagation();
      node.focus({ preventScroll: true });
      node.setPointerCapture(event.pointerId);
      play.stop();
      grips += 1;
      held = { id: event.pointerId, x: event.clientX, y: event.clientY, lamps: store.state.review.lamps };
      node.classList.add('held');
    });
    node.addEventListener('pointermove', (event) => {
      if (held?.id !== event.pointerId) return;
      set(scene.rigDragged(held.lamps, handle.name, event.clientX - held.x, event.clientY - held.y));
    });
    const release = (event) => {
      if (held?.id !== event.pointerId) return;
      held = null;
      node.classList.remove('held');
    };
    node.addEventListener('pointerup', release);
    node.addEventListener('pointercancel', release);
    node.addEventListener('keydown', (event) => {
      const arrow = ARROWS[event.key];
      if (!arrow || event.ctrlKey || event.metaKey || event.altKey) return;
      event.preventDefault();
      play.stop();
      if (!event.repeat) grips += 1;
      const [x, y] = arrow.map((way) => way * (event.shiftKey ? 5 : 1));
      set(handle.keys(store.state.review.lamps, x, y));
    });
    const show = (drawing, rig) => {
      const wanted = !handle.of || (handle.of === 'isophotes') === (rig.family === 'isophote');
      node.toggleAttribute('hidden', !wanted);
      if (!wanted) return;
      const [x, y] = drawing[handle.name];
      node.setAttribute('transform', `translate(${x.toFixed(1)} ${y.toFixed(1)})`);
      const text = handle.say(rig);
      node.setAttribute('aria-valuenow', rig[handle.slide]);
      node.setAttribute('aria-valuetext', text);
      value.textContent = text;
    };
    return { node, show };
  }

  function draw() {
    const { work, review } = store.state;
    const shown =
      work.pass === 'highlights' && work.handles && work.model !== null && work.graphics === 'ok' && review.lamps.family !== 'none';
    const drawing = shown ? scene.rigDrawing(review.lamps) : null;
    root.toggleAttribute('hidden', !drawing);
    if (!drawing) return;
    const inPlane = review.lamps.family !== 'isophote';
    const [[x1, y1], [x2, y2]] = [drawing.foot, drawing.direction];
    place(ball, { cx: x1, cy: y1, r: drawing.ball });
    place(arm, { x1, y1, x2, y2 });
    root.classList.toggle('behind', drawing.behind);
    const outlines = (points) => svg('polygon', { points: points.map((p) => p.map((x) => x.toFixed(1)).join()).join(' ') });
    lamps.replaceChildren(...(inPlane ? drawing.lamps.map(outlines) : []));
    rings.replaceChildren(...(inPlane ? [] : drawing.circles.map(outlines)));
    for (const { show } of handles) show(drawing, review.lamps);
  }

  scene.onView(draw);
  store.watch(({ work, review }) => [work.pass, work.handles, work.model, work.graphics, review.lamps], draw);
}

function place(node, attributes) {
  for (const [name, value] of Object.entries(attributes)) node.setAttribute(name, value.toFixed(1));
}
