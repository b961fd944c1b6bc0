// A review as a file: written, and read from whatever is given. Its form is published in review.schema.json.

import { readChecklist } from './checklist.js';
import { readForm } from './form-range.js';
import { readLamps } from './lamp-rig.js';
import { readLimits } from './limits.js';
import { readMaking, readPull } from './making.js';
import { MOST as MOST_MARKS, readMarks } from './marks.js';
import { camera, field, fields, oneOf, orNull, record, refuse, text, whole } from './outside.js';
import { besideOthers, ownPart } from './own-part.js';
import { ZONES } from './protocol.js';
import { INITIAL } from './state.js';
import { readSections } from './named-sections.js';
import { readPins } from './pins.js';
import { readPlane, readSearch } from './survey.js';
import { texts } from './texts.js';
import { readTrials } from './trials.js';
import { readUnderlay } from './underlay.js';
import { readVerdict } from './verdict.js';
import { readZones } from './zones.js';

const words = texts.reviewFile;

/** The form that is written. A later one may mean other things by the same names, so it is refused. */
const FORM = 1;

/** Largest file, bytes: some tens of thousands of judgements with reasons have five million. */
export const MOST_BYTES = 20 * 1024 * 1024;

/** Bytes at the beginning of a file that tell whether it is a review. */
export const HEAD_BYTES = 64 * 1024;

/** Characters of a model's name. */
export const MOST_NAME = 300;

/** A reader that tells of its own entries, told with the place of the whole. */
const placed = (read) => (value, path) => {
  try {
    return read(value);
  } catch (error) {
    return refuse(path, error.message);
  }
};

/** Marks one by one, each told by its key. */
function marks(value, path) {
  const entries = Object.entries(record(value, path));
  if (entries.length > MOST_MARKS.marks) refuse(path, texts.outside.entries(0, MOST_MARKS.marks, entries.length));
  return Object.fromEntries(entries.flatMap(([key, mark]) => Object.entries(placed(readMarks)({ [key]: mark }, `${path}.${key}`))));
}

/** One reader a part of `review`: (value, path, what it is before anything is said). Each throws a sentence that names the entry. */
export const PARTS = Object.freeze({
  yardstick: (value, path) => oneOf(value, path, ZONES),
  limits: readLimits,
  zones: readZones,
  lamps: readLamps,
  form: readForm,
  plane: readPlane,
  search: readSearch,
  making: readMaking,
  pull: readPull,
  marks,
  underlay: readUnderlay,
  sections: readSections,
  checklist: placed(readChecklist),
  pins: placed(readPins),
  verdict: placed(readVerdict),
  trials: readTrials,
});

/** True where the beginning of a file, as words, is that of a review, or of some other JSON, which is no model either. */
export const isReviewHead = (head, name) => /^\uFEFF?\s*\{/.test(head) && (/"rakelight_review"\s*:/.test(head) || /\.json$/i.test(name));

/** The text of a review of `model` {name, size, hash} at a time, a Date. `view`: {pass, camera: record or null}. */
export function writeReview({ model, review, view, saved }) {
  const name = model.name.slice(0, MOST_NAME);
  const file = {
    rakelight_review: FORM,
    saved: saved.toISOString(),
    model: { name, size: model.size, hash: model.hash },
    review: told(ownPart(review, model.name)),
    view: { pass: view.pass, camera: view.camera && stand(view.camera) },
  };
  return JSON.stringify(file);
}

/** Keys of lines and trials are given anew where they are read; trials are of the file's model. */
const told = (review) => ({ ...review, checklist: review.checklist.map(({ key, ...line }) => line), trials: review.trials.map(({ key, model, ...trial }) => trial) });

/** A frame's size belongs to the window, not to where the camera stands. */
export const stand = ({ target, yaw, pitch, distance, projection }) => ({ target: [...target], yaw, pitch, distance, projection });

/**
 * A sound review out of a text or any JSON value: {saved: Date, model: {name, size, hash}, review, view: {pass, camera} or nulls}. Every part
 * of `review` is there, as it is before anything is said where the file says nothing of it; what belongs
 * to its model has no name yet, which `reviewOn` gives it. Throws an Error with a sentence that names the entry.
 */
export function readReview(given) {
  const file = typeof given === 'string' ? parsed(given) : given;
  if (typeof file !== 'object' || file === null || Array.isArray(file) || !Object.hasOwn(file, 'rakelight_review')) throw new Error(words.noReview);
  const form = whole(file.rakelight_review, 'rakelight_review', 1);
  if (form > FORM) throw new Error(words.later(form));
  const model = readModel(record(field(file, 'model'), 'model'));
  const saved = new Date(text(field(file, 'saved'), 'saved', 40));
  if (Number.isNaN(saved.getTime())) refuse('saved', texts.outside.time);
  const review = fields(field(file, 'review'), 'review', INITIAL.review, readers());
  const view = fields(field(file, 'view') ?? {}, 'view', { pass: null, camera: null }, { pass: readPass, camera: orNull(camera) });
  return { saved, model, review, view };
}

function parsed(words) {
  if (words.length > MOST_BYTES) throw new Error(texts.reviewFile.large);
  try {
    return JSON.parse(words.replace(/^\uFEFF/, ''));
  } catch {
    throw new Error(texts.reviewFile.noJson);
  }
}

/** Readers of the parts that the page has, each told how its part is before anything is said. */
const readers = () =>
  Object.fromEntries(Object.entries(INITIAL.review).map(([part, usual]) => [part, (value, path) => PARTS[part](value, path, usual)]));

function readModel(model) {
  const name = text(field(model, 'name'), 'model.name', MOST_NAME);
  const hash = field(model, 'hash');
  if (typeof hash !== 'string' || !/^[0-9a-f]{64}$/.test(hash)) refuse('model.hash', texts.outside.hash);
  return { name, size: whole(field(model, 'size'), 'model.size', 0), hash };
}

/** A pass that the page has, or null for one that it does not know. */
export function readPass(value, path) {
  const pass = value === null ? null : text(value, path, 60);
  return pass !== null && Object.hasOwn(texts.passes, pass) && !['label', 'count'].includes(pass) ? pass : null;
}

/** The review that a file or link makes of the one there is, on a model of that name. What it has no part of stays. */
export const reviewOn = (file, name, now) => besideOthers({ ...ownPart(now, name), ...file.review }, name, now);

/** True where an offered review was made on that model, or null; a link has only the first half of the hash. */
export const isOf = (offered, model) => Boolean(model?.summary.hash.startsWith(offered.model.hash));

/** A review before anything is said of a model of that name. */
export const freshReview = (name, now) => besideOthers(ownPart(INITIAL.review, name), name, now);

/** A review whose model is called otherwise now. */
export const renamed = (review, was, name) => besideOthers(ownPart(review, was), name, review);

/** When a review was saved, as one reads it. */
export const whenSaved = (saved) => saved.toLocaleString('en-GB', { dateStyle: 'medium', timeStyle: 'short' });
