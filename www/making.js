// What the part is made of and how: what is asked of the worker, from what is entered.

import { fields, flag, number, orNull, triple } from './outside.js';

const has = (x) => x !== null && x !== undefined;

/** {pull, draft, offset, radius} for the worker; null for what does not matter. */
export function makingWish({ making, pull }) {
  const { sheet, inner, radius, draft, least, gap } = making;
  return {
    pull: draft ? pull : null,
    draft: draft && has(least) && least > 0 ? least : null,
    offset: has(sheet) || has(inner) ? (sheet ?? 0) + (inner ?? 0) : null,
    radius,
    gap,
  };
}

/** True when two states of the review ask for the same. */
export const sameMaking = (a, b) => JSON.stringify(makingWish(a)) === JSON.stringify(makingWish(b));

const limit = orNull((value, path) => number(value, path, 0));

/** What the part is made of, out of any JSON value. */
export const readMaking = (value, path, usual) =>
  fields(value, path, usual, { sheet: limit, inner: limit, radius: limit, draft: flag, least: limit, gap: limit });

/** The direction that draft is measured to. One without length is the page's own way to ask for none. */
export const readPull = triple;
