// A picture against the model: its state. Where it lies is part of the review, its pixels and how one looks at it are not.

import { field, fields, flag, number, oneOf, orNull, record, refuse, text } from './outside.js';
import { texts } from './texts.js';
import { isSound } from './underlay-place.js';

/** Sides that a picture may lie in: the standard ones, or the view as it was when it was chosen. */
export const SIDES = Object.freeze(['front', 'back', 'left', 'right', 'top', 'bottom', 'own']);

/** Before it is placed: half seen through, behind the model. */
export const UNDERLAY_LOOKS = Object.freeze({ opacity: 0.7, front: false });

/** Part of `work` of the page's state. */
export const UNDERLAY = Object.freeze({
  underlayPixels: null, // the last picture read: {name, bitmap, width, height}; kept when it is taken away, for a step back
  // seen: the camera looks along the picture's view, and is locked to it; off: put away until it is called back; reading: name of a
  // file on its way; wipe: share of the width it is shown to, null for all; aim: what the next clicks pick, picture or model;
  // marks: places picked on the picture, pixels; ends: where these shall lie, mm in the view's plane.
  underlayLook: { seen: false, off: false, reading: null, side: 'left', wipe: null, aim: null, marks: [], ends: [] },
});

const NO_PICKS = Object.freeze({ aim: null, marks: [], ends: [] });

export const UNDERLAY_WORK = {
  'underlay-pixels': (work, { pixels }) => ({
    ...work,
    underlayPixels: pixels,
    underlayLook: { ...work.underlayLook, ...NO_PICKS, off: false, reading: null, seen: false },
  }),
  'set-underlay-look': (work, { look }) => ({ ...work, underlayLook: { ...work.underlayLook, ...look } }),
  'underlay-aim': (work, { aim }) => {
    const { marks } = work.underlayLook;
    return { ...work, underlayLook: { ...work.underlayLook, aim, marks: aim === 'picture' ? [] : marks, ends: [] } };
  },
  // The second pick of either kind is the last.
  'underlay-picked': (work, { at }) => {
    const look = work.underlayLook;
    const name = look.aim === 'model' ? 'ends' : 'marks';
    const picks = [...look[name], at];
    return { ...work, underlayLook: { ...look, [name]: picks, aim: picks.length < 2 ? look.aim : null } };
  },
};

export const UNDERLAY_REVIEW = {
  // {file, view: {side, yaw, pitch}, x, y, width, turn, flip, opacity, front}, underlay-place.js; null takes it away.
  'set-underlay': (review, { underlay }) => ({ ...review, underlay: underlay && { ...review.underlay, ...underlay } }),
};

/** The pixels of the placed picture; null where none is placed, or it has to be opened again. */
export function underlayPixels({ work, review }) {
  return review.underlay && work.underlayPixels?.name === review.underlay.file ? work.underlayPixels : null;
}

/** True while the view is locked to the picture. */
export const isLocked = ({ work }) => work.underlayLook.seen;

/** True while the model has to leave out its ground for the picture behind it. */
export const isBehind = ({ work, review }) => work.underlayLook.seen && review.underlay !== null && !review.underlay.front;

const PLACED = ['file', 'view', 'x', 'y', 'width', 'turn', 'flip', 'opacity', 'front'];

/** Where a picture lies, out of any JSON value; null for none. */
export const readUnderlay = orNull((value, path) => {
  record(value, path);
  const lacking = (from, names, at) => names.filter((name) => field(from, name) === undefined).forEach((name) => refuse(`${at}.${name}`, texts.outside.missing));
  lacking(value, PLACED, path);
  const read = fields(value, path, {}, {
    file: (one, at) => text(one, at, 300),
    view: (one, at) => {
      lacking(record(one, at), ['side', 'yaw', 'pitch'], at);
      return fields(one, at, {}, { side: (side, here) => oneOf(side, here, SIDES), yaw: number, pitch: (x, here) => number(x, here, -Math.PI / 2, Math.PI / 2) });
    },
    x: number,
    y: number,
    width: number,
    turn: number,
    flip: flag,
    opacity: (x, at) => number(x, at, 0, 1),
    front: flag,
  });
  if (!isSound(read)) refuse(path, texts.outside.placed);
  return read;
});
