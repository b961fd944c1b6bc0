// Mouse, touch, wheel and keyboard on the canvas, in one table of meanings.
//
// Mouse: drag turns (the lamps instead, while the rig says so); drag with the right or middle button, or with Shift, moves; wheel zooms to the pointer; a click picks.
// Touch: one finger turns, two fingers move and zoom, a tap picks.
// Keys: see KEYS; Escape lets go of what is chosen, then of the canvas.

/** A press that moves less than this, CSS pixels, is a click; more makes shaky hands turn the model instead. */
const CLICK = 5;
/** One press of an arrow key, CSS pixels of drag. */
const STEP = 24;
/** Zoom of one press of plus, and of a wheel notch of 100 pixels. */
const ZOOM = 1.2;

/** Standard views by number key. */
export const VIEWS = ['front', 'back', 'left', 'right', 'top', 'bottom', 'corner'];

const KEYS = {
  ArrowLeft: (scene) => scene.turn(-STEP, 0),
  ArrowRight: (scene) => scene.turn(STEP, 0),
  ArrowUp: (scene) => scene.turn(0, -STEP),
  ArrowDown: (scene) => scene.turn(0, STEP),
  'Shift+ArrowLeft': (scene) => scene.pan(-STEP, 0),
  'Shift+ArrowRight': (scene) => scene.pan(STEP, 0),
  'Shift+ArrowUp': (scene) => scene.pan(0, -STEP),
  'Shift+ArrowDown': (scene) => scene.pan(0, STEP),
  '+': (scene) => scene.zoomAtMiddle(ZOOM),
  '=': (scene) => scene.zoomAtMiddle(ZOOM),
  '-': (scene) => scene.zoomAtMiddle(1 / ZOOM),
  f: (scene) => scene.fit(),
  p: (scene) => scene.toggleProjection(),
  l: (scene) => scene.toggleDrag(),
  Enter: (scene) => scene.choose(...scene.middle()),
  ' ': (scene) => scene.choose(...scene.middle()),
  ...Object.fromEntries(VIEWS.map((view, i) => [String(i + 1), (scene) => scene.standardView(view)])),
};

/**
 * `scene`: turn, pan, zoom, fit, standardView, choose, hover and so on, in CSS pixels from the canvas's corner. `wheels(event)`: false where a
 * wheel is left to the page; `signal`: ends it.
 */
export function mountCameraInput(canvas, scene, leave, wheels = () => true, signal = null) {
  const hear = (type, take, options = {}) => canvas.addEventListener(type, take, signal ? { ...options, signal } : options);
  const down = new Map(); // pointer id → {x, y}
  let drags = 0; // one drag of the lamps is one step to undo
  let pressed = null; // where the only pointer went down, until it moves too far to be a click

  const at = (event) => {
    const box = canvas.getBoundingClientRect();
    return { x: event.clientX - box.left, y: event.clientY - box.top };
  };

  hear('pointerdown', (event) => {
    canvas.focus({ preventScroll: true });
    canvas.setPointerCapture(event.pointerId);
    down.set(event.pointerId, at(event));
    drags += 1;
    pressed = down.size === 1 ? { ...at(event), button: event.button } : null;
    event.preventDefault();
  });

  hear('pointermove', (event) => {
    const now = at(event);
    const was = down.get(event.pointerId);
    if (!was) {
      scene.hover(now.x, now.y);
      return;
    }
    if (pressed) {
      if (Math.hypot(now.x - pressed.x, now.y - pressed.y) < CLICK) return;
      pressed = null;
    }
    if (down.size === 1) {
      const moves = event.shiftKey || (event.buttons & 6) !== 0;
      (moves ? scene.pan : scene.turn)(now.x - was.x, now.y - was.y, `drag ${drags}`);
    } else if (down.size === 2) {
      const [other] = [...down].filter(([id]) => id !== event.pointerId).map(([, place]) => place);
      const before = spread(was, other);
      const after = spread(now, other);
      scene.pan(after.x - before.x, after.y - before.y);
      if (before.size > 0) scene.zoom(after.size / before.size, after.x, after.y);
    }
    down.set(event.pointerId, now);
  });

  const up = (event) => {
    if (!down.delete(event.pointerId)) return;
    if (event.type === 'pointerup' && pressed && pressed.button === 0) scene.choose(pressed.x, pressed.y);
    pressed = null;
  };
  hear('pointerup', up);
  hear('pointercancel', up);
  hear('pointerleave', () => scene.hover(null, null));
  hear('contextmenu', (event) => event.preventDefault());

  hear(
    'wheel',
    (event) => {
      if (!wheels(event)) return;
      event.preventDefault();
      // Lines and pages of old wheels become pixels; one event never zooms more than a notch and a half.
      const pixels = event.deltaY * [1, 33, 400][event.deltaMode];
      const notches = Math.max(-1.5, Math.min(1.5, pixels / 100));
      const { x, y } = at(event);
      scene.zoom(ZOOM ** -notches, x, y);
    },
    { passive: false },
  );

  hear('keydown', (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    if (event.key === 'Escape') {
      leave();
      return;
    }
    const key = event.key.length === 1 ? event.key.toLowerCase() : event.key;
    const act = KEYS[event.shiftKey && event.key.startsWith('Arrow') ? `Shift+${key}` : key];
    if (!act) return;
    event.preventDefault();
    act(scene);
  });
}

function spread(a, b) {
  return { x: (a.x + b.x) / 2, y: (a.y + b.y) / 2, size: Math.hypot(a.x - b.x, a.y - b.y) };
}
