// How joins of the open model are looked for, as read from outside: the search distance and the centre plane.

import { direction, field, fields, list, number, orNull, record, triple } from './outside.js';

/** mm, or null for the usual distance. */
export const readSearch = orNull((value, path) => number(value, path, Number.MIN_VALUE));

/** {normal, offset} or {points}, mm, or null for the plane that is found. */
export const readPlane = orNull((value, path) => {
  if (field(record(value, path), 'points') !== undefined) {
    return fields(value, path, {}, { points: (all, at) => list(all, at, 3, 3).map((point, i) => triple(point, `${at}.${i}`)) });
  }
  return {
    normal: direction(field(value, 'normal'), `${path}.normal`),
    offset: number(field(value, 'offset') ?? 0, `${path}.offset`),
  };
});
