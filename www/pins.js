// Pins: the reviewer's own findings and remarks, each fixed to a place and a camera. Their state, what changes it, and the reading
// of pins that come from outside. A pin is {key, model, title, text, severity, state, place, face, camera, lamps, pass, strokes}:
// `key` is its lasting number; place: [x, y, z] mm; lamps: the rig as it was; pass: the one that was open; strokes: lines drawn over
// the picture, each a list of points in the model's space, in the plane through the place square to the view.

import { UNSEEN, isCamera, isName, isRecord, isTriple, keptCamera, tidyText } from './checklist.js';
import { FIELDS } from './lamp-rig.js';
import { STATES, tidyLines } from './marks.js';
import { SEVERITIES } from './protocol.js';
import { JUDGED } from './records.js';
import { texts } from './texts.js';

const words = texts.pins;

/** Severities of a pin: those of findings, and one that asks for nothing. */
export const PIN_SEVERITIES = Object.freeze([...SEVERITIES, 'note']);

/** Bounds: pins of a review, characters of a title and of a text, strokes of a pin, points of a stroke. */
export const MOST = Object.freeze({ pins: 500, title: 200, text: 4000, strokes: 40, points: 200 });

/** Families of stripes that a rig may have. */
const FAMILIES = ['none', 'isophote', 'highlight', 'reflection'];

/** Passes a pin may belong to. */
const PASSES = ['overview', ...JUDGED, 'verdict'];

/** Part of `review` of the page's state. */
export const PINS = Object.freeze({ pins: Object.freeze([]) });

/** Part of `work`. aim: the next click on the model places a pin; draw: the pointer draws for the chosen pin; shown: numbers stand on the model. */
export const PINS_VIEW = Object.freeze({ pinView: Object.freeze({ aim: false, draw: false, shown: true }) });

export const PINS_WORK = {
  'aim-pin': (work, { on }) => ({ ...work, pinView: { ...work.pinView, aim: on, draw: false } }),
  'draw-pin': (work, { on }) => (work.pinView.draw === on ? work : { ...work, pinView: { ...work.pinView, draw: on, aim: false } }),
  'show-pins': (work, { shown }) => ({ ...work, pinView: { ...work.pinView, shown } }),
  'choose-pin': (work, { key }) => ({
    ...work,
    selection: { finding: null, join: null, face: null, pin: key },
    trace: null,
    station: null,
    pinView: { ...work.pinView, aim: false, draw: false },
  }),
};

/** Changes to the review; what changes nothing is no step to undo. */
export const PINS_ACTIONS = {
  'add-pin': (review, { pin }) => {
    if (review.pins.length >= MOST.pins) return review;
    return { ...review, pins: [...review.pins, sound({ ...pin, key: nextKey(review.pins) })] };
  },
  /** Other words, severity, state, view or lamps of a pin. */
  'set-pin': (review, { key, change }) => changed(review, key, (pin) => ({ ...pin, ...change })),
  'delete-pin': (review, { key }) => {
    const pins = review.pins.filter((pin) => pin.key !== key);
    return pins.length === review.pins.length ? review : { ...review, pins };
  },
  /** One more stroke, where there is room. */
  'add-stroke': (review, { key, stroke }) =>
    changed(review, key, (pin) => (pin.strokes.length < MOST.strokes ? { ...pin, strokes: [...pin.strokes, stroke.slice(0, MOST.points)] } : pin)),
  /** The last stroke away, or all. */
  'drop-strokes': (review, { key, all = false }) =>
    changed(review, key, (pin) => (pin.strokes.length > 0 ? { ...pin, strokes: all ? [] : pin.strokes.slice(0, -1) } : pin)),
};

function changed(review, key, change) {
  const at = review.pins.findIndex((pin) => pin.key === key);
  if (at < 0) return review;
  const pin = review.pins[at];
  const next = change(pin);
  if (next === pin) return review;
  const tidy = sound(next);
  if (Object.keys(tidy).every((name) => tidy[name] === pin[name])) return review;
  return { ...review, pins: review.pins.with(at, tidy) };
}

/** One more than any key so far: a pin that comes back by undo keeps the number it had. */
export const nextKey = (pins) => Math.max(0, ...pins.map(({ key }) => key)) + 1;

/** A pin with what belongs to it and nothing else. */
const sound = ({ key, model, title = '', text = '', severity = 'fix', state = 'open', place, face = null, camera, lamps, pass = 'overview', strokes = [] }) => ({
  key,
  model,
  title: tidyText(title).slice(0, MOST.title),
  text: tidyLines(text, MOST.text),
  severity,
  state,
  place,
  face,
  camera,
  lamps,
  pass,
  strokes,
});

/** The chosen pin, or null. */
export function chosenPin({ work, review }) {
  const key = work.selection.pin ?? null;
  return key === null ? null : (pinsHere({ work, review }).find((pin) => pin.key === key) ?? null);
}

/** Pins of the open model; those of another one wait for it. */
export const pinsHere = ({ work, review }) => review.pins.filter((pin) => pin.model === work.model?.name);

/** What a pin is called. */
export const pinTitle = ({ key, title }) => title || words.name(key);

/**
 * Sound pins out of any JSON value; their keys stay where all are told apart by them. Throws an Error that names the entry and what is
 * wrong with it.
 */
export function readPins(value) {
  if (!Array.isArray(value)) throw new Error(words.wrong.list);
  if (value.length > MOST.pins) throw new Error(words.wrong.many(value.length, MOST.pins));
  const pins = value.map((entry, i) => {
    try {
      return readPin(entry);
    } catch (error) {
      throw new Error(words.wrong.at(i + 1, error.message), { cause: error });
    }
  });
  const keyed = pins.every(({ key }) => Number.isInteger(key) && key > 0 && key < 1e9) && new Set(pins.map(({ key }) => key)).size === pins.length;
  return keyed ? pins : pins.map((pin, i) => ({ ...pin, key: i + 1 }));
}

function readPin(entry) {
  const asked = (holds, wrong) => {
    if (!holds) throw new Error(wrong);
  };
  asked(isRecord(entry), words.wrong.entry);
  const { key, model, title = '', text = '', severity, state = 'open', place, face = null, camera, lamps, pass = 'overview', strokes = [] } = entry;
  asked(isName(model), words.wrong.model);
  asked(typeof title === 'string' && title.length <= MOST.title, words.wrong.long(words.title, MOST.title));
  asked(typeof text === 'string' && text.length <= MOST.text, words.wrong.long(words.text, MOST.text));
  asked(PIN_SEVERITIES.includes(severity), words.wrong.severity(PIN_SEVERITIES));
  asked(STATES.includes(state), words.wrong.state(STATES));
  asked(isTriple(place), words.wrong.place);
  asked(face === null || (Number.isInteger(face) && face >= 0 && face < 2 ** 32), words.wrong.face);
  asked(isCamera(camera), words.wrong.camera);
  asked(isRig(lamps), words.wrong.lamps);
  asked(PASSES.includes(pass), words.wrong.pass);
  asked(Array.isArray(strokes) && strokes.length <= MOST.strokes && strokes.every(isStroke), words.wrong.strokes(MOST.strokes, MOST.points));
  const name = model.replace(UNSEEN, ' ');
  const lines = strokes.map((stroke) => stroke.map((point) => [...point]));
  return sound({ key, model: name, title, text, severity, state, place: [...place], face, camera: keptCamera(camera), lamps: keptRig(lamps), pass, strokes: lines });
}

const isStroke = (stroke) => Array.isArray(stroke) && stroke.length > 0 && stroke.length <= MOST.points && stroke.every(isTriple);

const isRig = (lamps) =>
  isRecord(lamps) &&
  FAMILIES.includes(lamps.family) &&
  FIELDS.every(({ name, min, max }) => typeof lamps[name] === 'number' && lamps[name] >= min && lamps[name] <= max);

/** A rig with its own numbers and nothing else. */
export const keptRig = (lamps) => ({ family: lamps.family, ...Object.fromEntries(FIELDS.map(({ name }) => [name, lamps[name]])) });
