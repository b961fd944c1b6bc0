// Curvature combs: what is asked of the worker, from what is chosen.

/** Ways a comb can run: along and across a join, on isoparametric curves of a face, along its borders. */
export const JOIN_WAYS = Object.freeze(['across', 'along']);
export const FACE_WAYS = Object.freeze(['u', 'v', 'border']);

/** What combs are wanted now: {join, face, ways, spacing, curves}, or null for none. A join counts before its faces. */
export function combWish({ pass, selection, combs, model }) {
  if (!model) return null;
  const { spacing, curves } = combs;
  const on = (ways) => ways.filter((way) => combs.ways[way]);
  const has = (id) => id !== null && id !== undefined;
  if (pass === 'joins' && has(selection.join) && on(JOIN_WAYS).length > 0) {
    return { join: selection.join, face: null, ways: on(JOIN_WAYS), spacing, curves };
  }
  if (pass === 'form' && has(selection.face) && on(FACE_WAYS).length > 0) {
    return { join: null, face: selection.face, ways: on(FACE_WAYS), spacing, curves };
  }
  return null;
}

/** True when two states want the same combs. */
export function sameWish(a, b) {
  return JSON.stringify(combWish(a)) === JSON.stringify(combWish(b));
}
