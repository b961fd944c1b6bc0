// What the reviewer has said of findings, out of any JSON value.

import { field, fields, oneOf, record, refuse, text } from './outside.js';
import { texts } from './texts.js';

/** Marks of a review, characters of a reason as the card takes them, and of a key, which lists the finding's faces. */
const MOST = { marks: 20000, reason: 500, key: 20000 };

const STATES = ['open', 'agreed', 'overruled'];

/** Marks by the keys of findings. */
export function readMarks(value, path) {
  const entries = Object.entries(record(value, path));
  if (entries.length > MOST.marks) refuse(path, texts.outside.entries(0, MOST.marks, entries.length));
  return Object.fromEntries(
    entries.map(([key, mark]) => {
      const place = `${path}.${key}`;
      if (key.length > MOST.key || !/^[\w.]+\|/.test(key)) refuse(place, texts.outside.finding);
      if (field(record(mark, place), 'state') === undefined) refuse(`${place}.state`, texts.outside.missing);
      return [key, fields(mark, place, { reason: '' }, { state: (one, at) => oneOf(one, at, STATES), reason: (one, at) => text(one, at, MOST.reason) })];
    }),
  );
}
