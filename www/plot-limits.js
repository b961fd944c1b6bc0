// The limits over the plot of a trace: a line each with its name, and a grip by which it is dragged or moved by arrow keys.

import { svg } from './dom.js';
import { quantity } from './format.js';
import { GRADED, limitName, moveLimit, shownLimits, slide } from './limits.js';
import { texts } from './texts.js';

/** Lines and names of the limits that the plot has room for, as nodes for its picture. `map`: how values become pixels. */
export function limitLines(map, limits, left, right, bottom) {
  const parts = [];
  let below = Infinity; // names of limits that lie close together are pushed upwards, apart from each other
  GRADED.forEach((severity, i) => {
    const limit = limits[i];
    if (!shows(map, limit)) return;
    below = Math.min(map.y(limit) + 4, bottom - 2, below - 13);
    parts.push(svg('line', { class: `limit ${severity}`, x1: left, x2: right, y1: map.y(limit), y2: map.y(limit) }));
    parts.push(svg('text', { x: right + 14, y: below, class: 'limit-name' }, `${texts.severity[severity]} ${quantity(limit, map.unit)}`));
  });
  return parts;
}

const shows = (map, limit) => Number.isFinite(limit) && limit <= map.ceiling;

/**
 * Grips of the limits, in a picture of their own that lies over the plot. `mapOf()`: how values become pixels now, or null;
 * `hold(on)`: keeps the scale as it is while one is dragged, since the line would run away from the pointer else.
 */
export function mountGrips(store, mapOf, hold) {
  let drags = 0;
  const root = svg('svg', { id: 'trace-limits', role: 'group', 'aria-label': texts.trace.limits });
  const now = () => shownLimits(store.state, store.state.work.measure);
  const set = (index, value, gesture) => moveLimit(store, index, value, gesture);
  const grips = GRADED.map((severity, index) => grip(severity, index));
  root.append(...grips.map(({ node }) => node));

  function grip(severity, index) {
    const line = svg('line', { class: 'grip-line' });
    const knob = svg('path', { class: `grip-knob ${severity}`, d: 'M0 0l9 -5v10z' });
    const node = svg('g', { class: 'limit-grip', id: `limit-line-${severity}`, role: 'slider', tabindex: '0', 'aria-orientation': 'vertical', 'aria-label': limitName(index) }, line, knob);
    let held = false;
    const ended = () => {
      if (!held) return;
      held = false;
      drags += 1;
      hold(false);
    };
    node.addEventListener('pointerdown', (event) => {
      if (event.button !== 0) return;
      event.preventDefault();
      node.setPointerCapture(event.pointerId);
      node.focus();
      held = true;
      hold(true);
    });
    node.addEventListener('pointermove', (event) => {
      const map = mapOf();
      if (held && map) set(index, map.value(event.clientY - root.getBoundingClientRect().top), `line ${index} ${drags}`);
    });
    node.addEventListener('pointerup', ended);
    node.addEventListener('lostpointercapture', ended);
    node.addEventListener('keydown', (event) => {
      const steps = { ArrowUp: 1, ArrowDown: -1, ArrowRight: 1, ArrowLeft: -1, PageUp: 10, PageDown: -10 }[event.key];
      const shown = now();
      if (steps === undefined || !shown || event.ctrlKey || event.metaKey || event.altKey) return;
      event.preventDefault();
      const { at, value } = slide(shown.unit);
      set(index, value(at(shown.limits[index]) + steps), `keys ${index} ${drags}`);
    });
    node.addEventListener('blur', () => (drags += 1));
    return { node, line, knob };
  }

  return {
    root,
    /** Puts the grips where the limits are drawn. */
    place(map, limits, left, right) {
      root.setAttribute('viewBox', `0 0 ${map?.width ?? 1} ${map?.height ?? 1}`);
      grips.forEach(({ node, line, knob }, i) => {
        const limit = limits?.[i];
        // A grip that is held stays, or the drag would end.
        const here = map !== null && Number.isFinite(limit) && (shows(map, limit) || node === document.activeElement);
        node.classList.toggle('gone', !here);
        if (!here) return;
        const y = Math.max(4, map.y(limit));
        for (const [name, value] of Object.entries({ x1: left, x2: right, y1: y, y2: y })) line.setAttribute(name, value);
        knob.setAttribute('transform', `translate(${right + 1} ${y})`);
        const percent = map.unit === 'share' ? 100 : 1;
        node.setAttribute('aria-valuenow', String(limit * percent));
        node.setAttribute('aria-valuemin', '0');
        node.setAttribute('aria-valuetext', `${quantity(limit, map.unit)}`);
      });
    },
  };
}
