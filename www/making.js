// What the part is made of and how: what is asked of the worker, from what is entered.

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
