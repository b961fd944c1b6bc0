// What an earlier revision's review says, carried over to the open model: judgements to the findings that are the same ones by the core's
// word, pins that lie on the model still, named sections.

import { MOST as MOST_MARKS, kept } from './marks.js';
import { withSections } from './named-sections.js';
import { MOST, nextKey } from './pins.js';
import { findingKey, markKey } from './records.js';
import { isOfNow } from './revision.js';

/** What is taken of a review, as readReview gives it: {name: of its file, null of the one that the browser keeps, saved, marks, pins, sections}. */
export const takenOf = ({ saved, review: { marks, pins, sections } }, name) => ({ name, saved, marks, pins, sections });

/** Changes to the review, all of them one step. */
export const CARRY_ACTIONS = {
  'carry-review': (review, { marks, pins, sections }) => {
    const first = nextKey(review.pins);
    const room = MOST_MARKS.marks - Object.keys(review.marks).length;
    return {
      ...review,
      marks: { ...review.marks, ...Object.fromEntries(Object.entries(marks).slice(0, Math.max(0, room))) },
      pins: [...review.pins, ...pins.map((pin, i) => ({ ...pin, key: first + i }))].slice(0, MOST.pins),
      sections: withSections(review.sections, sections),
    };
  },
};

const NOTHING = Object.freeze({ marks: {}, pins: [], sections: [], count: 0, apart: 0 });

/** What can be carried now: {marks: by their keys here, pins, sections, count, apart: judgements of findings that are not here}. What was said
 * here already stays as it is. */
export function carriedOver({ work, review }) {
  const { earlier, findings, model } = work;
  if (!earlier?.review || !isOfNow(work)) return NOTHING;
  const from = earlier.review;
  const marks = {};
  let apart = Object.keys(from.marks).length;
  for (const { was, now } of earlier.record.findings) {
    if (!was || now === null) continue;
    const key = markKey(model.name, findings[now]);
    const before = findingKey(was);
    if (!Object.hasOwn(from.marks, before)) continue;
    apart -= 1;
    const mark = said(from.marks[before]);
    if (mark && !Object.hasOwn(review.marks, key)) marks[key] = mark;
  }
  const pins = from.pins
    .map((pin, i) => ({ ...pin, model: model.name, face: earlier.faces?.[i] ?? -1 }))
    .filter((pin) => pin.face >= 0 && !review.pins.some((one) => one.model === model.name && alike(one, pin)))
    .slice(0, MOST.pins - review.pins.length);
  const sections = withSections(review.sections, from.sections).slice(review.sections.length);
  return { marks, pins, sections, count: Object.keys(marks).length + pins.length + sections.length, apart };
}

/** A mark as it goes on. One that says a finding is fixed, which is there still, is open again. */
function said(mark) {
  return kept({ severity: null, reason: '', note: '', ...mark, state: mark.state === 'fixed' ? 'open' : mark.state });
}

/** True of one pin and what came of it, whatever was written since. */
const alike = (a, b) => a.place.every((x, i) => x === b.place[i]);
