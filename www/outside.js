// What comes from outside, asked for its kind one value at a time. Whatever is wrong is told with the place of the entry, as in
// "review.lamps.count", and nothing of it is used.

import { UNSEEN } from './checklist.js';
import { texts } from './texts.js';

const words = texts.outside;

/** Words without what is not seen. */
export const visible = (text) => text.replace(/\r\n?/g, '\n').replace(UNSEEN, ' ');

/** Characters of a place that are told: a name in it may be as long as its author likes. */
const TOLD = 90;

export function refuse(path, why) {
  const place = visible(path);
  throw new Error(words.at(place.length > TOLD ? `${place.slice(0, TOLD)}…` : place, why));
}

export function record(value, path) {
  if (typeof value !== 'object' || value === null || Array.isArray(value)) refuse(path, words.record);
  return value;
}

/** A field that a record has itself; undefined where it has none, whatever all objects have by that name. */
export const field = (value, name) => (Object.hasOwn(value, name) ? value[name] : undefined);

/** A record of the fields that `readers` name, each by its reader; one that is missing is as in `usual`. Others are not taken over. */
export function fields(value, path, usual, readers) {
  record(value, path);
  const read = ([name, reader]) => {
    const given = field(value, name);
    return [name, given === undefined ? usual[name] : reader(given, `${path}.${name}`)];
  };
  return Object.fromEntries(Object.entries(readers).map(read));
}

export function list(value, path, least, most) {
  if (!Array.isArray(value)) refuse(path, words.list);
  if (value.length < least || value.length > most) refuse(path, words.entries(least, most, value.length));
  return value;
}

/** A finite number within bounds. */
export function number(value, path, least = -Infinity, most = Infinity) {
  if (typeof value !== 'number' || !Number.isFinite(value)) refuse(path, words.number);
  if (value < least || value > most) refuse(path, words.bounds(least, most));
  return value;
}

export function whole(value, path, least, most) {
  if (!Number.isInteger(value)) refuse(path, words.whole);
  return number(value, path, least, most);
}

export function flag(value, path) {
  if (typeof value !== 'boolean') refuse(path, words.flag);
  return value;
}

/** Words of `most` characters at most, without what is not seen. */
export function text(value, path, most) {
  if (typeof value !== 'string') refuse(path, words.text);
  if (value.length > most) refuse(path, words.long(most));
  return visible(value);
}

export function oneOf(value, path, all) {
  if (!all.includes(value)) refuse(path, words.oneOf(all));
  return value;
}

export const triple = (value, path) => list(value, path, 3, 3).map((x, i) => number(x, `${path}.${i}`));

/** Three numbers that point somewhere. */
export function direction(value, path) {
  const read = triple(value, path);
  if (!(Math.hypot(...read) > 0)) refuse(path, words.direction);
  return read;
}

/** A reader that takes null as well. */
export const orNull = (reader) => (value, path) => (value === null ? null : reader(value, path));

/** Where a camera stands: {target, yaw, pitch, distance, projection}, within the renderer's own bounds. */
export function camera(value, path) {
  const far = 1e9; // mm and radians
  const within = (x, at) => number(x, at, -far, far);
  const read = fields(value, path, {}, {
    target: (point, at) => list(point, at, 3, 3).map((x, i) => within(x, `${at}.${i}`)),
    yaw: within,
    pitch: (x, at) => number(x, at, -Math.PI / 2, Math.PI / 2),
    distance: (x, at) => number(x, at, Number.MIN_VALUE, far),
    projection: (one, at) => oneOf(one, at, ['perspective', 'orthographic']),
  });
  const lacking = Object.keys(read).find((name) => read[name] === undefined);
  if (lacking) refuse(`${path}.${lacking}`, words.missing);
  return read;
}
