// A line across the stage that is dragged, or moved by arrow keys, to say how far something is shown.

import { el } from './dom.js';

/** One press of an arrow key, share of the width; with Shift five times as much. */
const STEP = 0.02;

/** `box()`: what it runs over; `at()`: where it stands, share of the width; `move(at)`: where it is wanted. */
export function createDivider({ id, label, box, at, move }) {
  const node = el('div', {
    id,
    class: 'divider',
    role: 'slider',
    tabindex: 0,
    'aria-label': label,
    'aria-valuemin': 0,
    'aria-valuemax': 100,
    on: {
      pointerdown: (event) => {
        event.preventDefault();
        node.focus({ preventScroll: true });
        node.setPointerCapture(event.pointerId);
      },
      pointermove: (event) => {
        if (!node.hasPointerCapture(event.pointerId)) return;
        const { left, width } = box();
        move((event.clientX - left) / width);
      },
      keydown: (event) => {
        const step = STEP * (event.shiftKey ? 5 : 1);
        const from = at();
        const to = { ArrowLeft: from - step, ArrowDown: from - step, ArrowRight: from + step, ArrowUp: from + step, Home: 0, End: 1 }[event.key];
        if (to === undefined) return;
        event.preventDefault();
        move(to);
      },
    },
  });
  return {
    node,
    show(share) {
      node.style.setProperty('--at', `${share * 100}%`);
      node.setAttribute('aria-valuenow', Math.round(share * 100));
    },
  };
}
