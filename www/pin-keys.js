// The pen by keys: while one draws, arrows move it over the canvas, Space or Enter puts it down and lifts it.

import { chosenPin } from './pins.js';
import { texts } from './texts.js';

const words = texts.pins;

/** One press of an arrow key, CSS pixels; with Shift, for what is drawn with care. */
const STEP = 12;
const CARE = 2;

const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

/** `nib`: the mark that shows where the pen is; `pen`: {ready(), busy(), isDown(), down(spot), move(spot), up(keep)} of pin-draw.js. */
export function mountPinKeys(canvas, nib, store, scene, pen) {
  let spot = null; // [x, y] on the canvas; null until the camera stands where the pin is seen from
  let stood = ''; // camera and canvas that the spot, and a line begun, belong to
  const drawing = () => store.state.work.pinView.draw;
  const tell = (say) => store.dispatch({ type: 'notice', notice: store.state.work.notice, say });

  function show() {
    const stands = drawing() && JSON.stringify([scene.camera(), scene.middle()]);
    if (stands !== stood) {
      if (pen.isDown()) pen.up(false);
      [stood, spot] = [stands, null];
    }
    if (drawing() && !spot && pen.ready()) spot = scene.onScreen([chosenPin(store.state).place])[0] ?? scene.middle();
    nib.style.left = spot ? `${spot[0]}px` : '';
    nib.style.top = spot ? `${spot[1]}px` : '';
    nib.classList.toggle('down', pen.isDown());
  }

  const within = (x, most) => Math.min(most, Math.max(0, x));

  function move([dx, dy], step) {
    const { width, height } = canvas.getBoundingClientRect();
    spot = [within(spot[0] + step * dx, width), within(spot[1] + step * dy, height)];
    if (pen.isDown()) pen.move(spot);
  }

  function press() {
    const was = pen.isDown();
    if (was) pen.up(true);
    else pen.down(spot);
    // The last line there is room for ends the drawing.
    if (drawing()) tell(was ? words.penUp(chosenPin(store.state).strokes.length) : words.penDown);
  }

  // Before the keys of the camera and of the ledger, which then do not hear of it.
  canvas.addEventListener(
    'keydown',
    (event) => {
      if (!drawing() || event.ctrlKey || event.metaKey || event.altKey) return;
      const arrow = ARROWS[event.key];
      const own = arrow || event.key === ' ' || event.key === 'Enter';
      const down = pen.isDown();
      // With the pen down, no key may turn the view under it; Escape lets the line go.
      if (!own && !(down && (event.key === 'Escape' || event.key.length === 1))) return;
      event.preventDefault();
      event.stopImmediatePropagation();
      if (pen.busy() || !pen.ready()) return;
      show();
      if (arrow) move(arrow, event.shiftKey ? CARE : STEP);
      else if (own && !event.repeat) press();
      else if (event.key === 'Escape') {
        pen.up(false);
        tell(words.penLet);
      }
      show();
    },
    { capture: true },
  );
  return { show };
}
