// A part that the model lacks, put on the checklist with its area and place.

import { MOST, keptPlace } from './checklist.js';
import { el } from './dom.js';
import { quantity } from './format.js';
import { texts } from './texts.js';

const words = texts.checklist;

/** A part's name: the same part found again has it again. */
const nameOfPart = (file, { at, area }) => `${at.map((x) => x.toFixed(3)).join(' ')} ${area.toPrecision(6)} ${file}`.slice(0, MOST.name);

/** Parts on the list, as one string that differs where they do; and whether there is room. */
export const partsKey = (list) => [...list.map(({ part }) => part).filter(Boolean), list.length < MOST.lines].join('\n');

/** The button that adds a missing part, the `i`th of the reference `file`. */
export function partButton(part, i, file, store) {
  const { checklist } = store.state.review;
  const name = nameOfPart(file, part);
  const [on, full] = [checklist.some((line) => line.part === name), checklist.length >= MOST.lines];
  const add = () => {
    const text = words.part(quantity(part.area, 'mm2'), file);
    // Its faces are the reference's, which cannot be chosen.
    const place = keptPlace({ model: store.state.work.model.name, face: null, point: part.at, size: 2 * Math.sqrt(part.area) });
    store.dispatch({ type: 'add-checks', lines: [{ text, state: 'missing', place, part: name }], say: words.added(text) });
  };
  return el(
    'button',
    { type: 'button', id: `missing-add-${i + 1}`, class: 'part-add', 'aria-label': on ? undefined : words.addPartOf(i + 1), 'aria-disabled': on || full ? 'true' : null, title: full ? words.full(MOST.lines) : undefined, on: { click: () => on || full || add() } },
    on ? words.partAdded : words.addPart,
  );
}
