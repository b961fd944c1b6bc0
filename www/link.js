// The record of a link, as the core writes and reads it (core/src/review/link), out of the page's state and back. Whatever comes from a
// link goes through the readers that review files have.

import { camera, field, fields, flag, number, oneOf, orNull, record, refuse, text } from './outside.js';
import { ownPart } from './own-part.js';
import { ORDERS } from './protocol.js';
import { MOST_NAME, PARTS, readPass, stand } from './review-file.js';
import { INITIAL } from './state.js';
import { texts } from './texts.js';

/** Hexadecimal digits of a model's hash that a link has. */
const DIGITS = 32;

/** Digits of a hash that are told. */
export const TOLD = 12;

/** Parts of the review that go as JSON, where they were changed: ledger and picture go by them. */
const REST = ['limits', 'zones', 'form', 'plane', 'search', 'making', 'pull', 'trials'];

/** A model read in the unit it states, without what it hides. */
const AS_STATED = Object.freeze({ unit: null, hidden: false });

/** True where the part of an address after # and with it is a link, of whatever version. */
export const isLink = (fragment) => /^#v\d+\./.test(fragment);

/** Millimetres of a unit, and what the file hides. */
const READING = { unit: orNull((value, path) => number(value, path, 1e-6, 1e6)), hidden: flag };

/** The record of what is shown. `source`: 'own', 'demo', {address} or {packed: bytes}. Faces cannot be hidden yet. */
export function linkRecord({ work, review }, seen, source) {
  const { name, summary } = work.model;
  const own = ownPart(review, name);
  const zones = { ...own.zones, picked: own.zones.picked.map(({ face, zone }) => ({ face, zone })) };
  const trials = own.trials.map(({ name: called, on, edit }) => ({ name: called, on, edit }));
  const parts = REST.map((part) => [part, { ...own, zones, trials }[part]]);
  const more = Object.fromEntries(parts.filter(([part, value]) => !alike(value, INITIAL.review[part])));
  if (work.measure !== INITIAL.work.measure) more.measure = work.measure;
  const { unit, hidden } = work.model.reading;
  if (!alike({ unit, hidden }, AS_STATED)) more.reading = { unit, hidden };
  return {
    model: { name: name.slice(0, MOST_NAME), hash: summary.hash.slice(0, DIGITS), source },
    camera: seen && stand(seen),
    pass: work.pass,
    zone: own.yardstick,
    lamps: own.lamps,
    hidden: [],
    marks: Object.entries(own.marks).map(([key, mark]) => ({ key, ...mark })),
    pins: own.pins.map(({ model, ...pin }) => pin),
    rest: Object.keys(more).length > 0 ? JSON.stringify(more) : '',
  };
}

const alike = (a, b) => JSON.stringify(a) === JSON.stringify(b);

/**
 * A review that waits for its model, out of a link's record: as readReview gives it, but with those parts only that a link has, the first
 * digits of the hash, and `link`: {source, reading: {unit, hidden}}. Throws an Error with a sentence that names the entry.
 */
export function offeredOf({ model, camera: seen, pass, zone, lamps, marks, pins, rest }) {
  const more = rest === '' ? {} : parsed(rest);
  const name = text(model.name, 'model.name', MOST_NAME);
  const mark = ({ key, severity, ...said }) => [key, { ...said, severity: severity || null }];
  const given = {
    yardstick: zone,
    lamps,
    marks: Object.fromEntries(marks.map(mark)),
    pins: pins.map((pin) => ({ ...pin, model: name })),
    ...Object.fromEntries(REST.map((part) => [part, field(more, part)])),
  };
  const read = (part, value, usual) => (value === undefined ? usual : PARTS[part](value, `review.${part}`, usual));
  return {
    saved: null,
    model: { name, hash: model.hash },
    review: Object.fromEntries(Object.entries(given).map(([part, value]) => [part, read(part, value, INITIAL.review[part])])),
    view: {
      pass: readPass(pass, 'view.pass'),
      camera: orNull(camera)(seen, 'view.camera'),
      measure: oneOf(field(more, 'measure') ?? INITIAL.work.measure, 'view.measure', ORDERS),
    },
    link: { source: model.source, reading: fields(field(more, 'reading') ?? {}, 'reading', AS_STATED, READING) },
  };
}

function parsed(rest) {
  let more;
  try {
    more = JSON.parse(rest);
  } catch {
    refuse('review', texts.link.noMore);
  }
  return record(more, 'review');
}
