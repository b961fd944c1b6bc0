// A review that comes from a file, and how the browser keeps the one there is: their state.

/** Part of `work` of the page's state. */
export const KEEPING = Object.freeze({
  offered: null, // a review that was opened and waits for its model, or for a yes: what readReview gives
  // where: none | reading | saving | here | elsewhere (another tab holds it) | taken (another tab took it over) | nowhere;
  // the rest are told of until they are closed. held: elsewhere or taken; back: {name, saved} of a review that came back; carried: name of the model that what is
  // set was set for; broken: {name, why, text} of a kept one that cannot be read; unkept: a sentence.
  keeping: { where: 'none', held: null, back: null, carried: null, broken: null, unkept: null },
});

export const KEEPING_WORK = {
  'review-offered': (work, { offered }) => ({ ...work, offered, failure: offered ? null : work.failure }),
  // What was opened like a model is a review: no import goes on.
  'review-came': (work) => ({ ...work, busy: null }),
  'review-refused': (work, { failure }) => ({ ...work, failure }),
  'set-keeping': (work, { keeping }) => ({ ...work, keeping: { ...work.keeping, ...keeping } }),
};

export const KEEPING_REVIEW = {
  // Another review as a whole. Parts that say the same stay the same, so that nothing is looked for or judged anew for them.
  'open-review': (review, { review: next }) => {
    const parts = Object.entries(next).map(([part, value]) => [part, alike(value, review[part]) ? review[part] : value]);
    return parts.every(([part, value]) => value === review[part]) ? review : Object.fromEntries(parts);
  },
};

const alike = (a, b) => a === b || JSON.stringify(a) === JSON.stringify(b);
