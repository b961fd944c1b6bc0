// The checklist of what a complete model has: its lines in the review, what changes them, and the reading of lines that come from
// outside. A line is {key, text, state, note, place, part}; `key` is this page's own and tells lines apart while they are moved.

import { texts } from './texts.js';

const words = texts.checklist;

/** States of a line, in the order they are offered. */
export const CHECKS = Object.freeze(['open', 'there', 'missing', 'needless']);

/** Bounds: lines of a list, characters of a line, of its note, and of any name kept with it. */
export const MOST = Object.freeze({ lines: 200, text: 500, note: 2000, name: 300 });

/** What the numbers of a kept place stay below, mm and radians: the camera's own bound. */
const FARTHEST = 1e9;

/** Part of `review` of the page's state. */
export const CHECKLIST = Object.freeze({ checklist: Object.freeze([]) });

/** Part of `work`: the line that is unfolded, by its key. */
export const CHECKLIST_VIEW = Object.freeze({ checklistOpen: null });

export const CHECKLIST_WORK = {
  'unfold-check': (work, { key }) => ({ ...work, checklistOpen: key }),
};

/** Changes to the review; what changes nothing is no step to undo. */
export const CHECKLIST_ACTIONS = {
  /** Lines at the end, each {text, …}; as many as there is room for. */
  'add-checks': (review, { lines }) => {
    const room = MOST.lines - review.checklist.length;
    const first = nextKey(review.checklist);
    const added = lines.map(sound).filter(({ text }) => text !== '').slice(0, room).map((line, i) => ({ ...line, key: first + i }));
    return added.length === 0 ? review : { ...review, checklist: [...review.checklist, ...added] };
  },
  /** Another state, note, place or wording of a line; one without words is not taken. */
  'set-check': (review, { key, change }) => {
    const set = (line) => {
      const next = sound({ ...line, ...change });
      return next.text === '' ? line : next;
    };
    return changed(review, (list) => list.map((line) => (line.key === key ? set(line) : line)));
  },
  'move-check': (review, { key, by }) =>
    changed(review, (list) => {
      const from = list.findIndex((line) => line.key === key);
      const to = from + by;
      if (from < 0 || to < 0 || to >= list.length) return list;
      const without = list.filter((_, i) => i !== from);
      return [...without.slice(0, to), list[from], ...without.slice(to)];
    }),
  'delete-check': (review, { key }) => changed(review, (list) => list.filter((line) => line.key !== key)),
};

function changed(review, change) {
  const checklist = change(review.checklist);
  const same = checklist.length === review.checklist.length && checklist.every((line, i) => alike(line, review.checklist[i]));
  return same ? review : { ...review, checklist };
}

const alike = (a, b) => a === b || (a.key === b.key && a.text === b.text && a.state === b.state && a.note === b.note && a.place === b.place && a.part === b.part);

/** One more than any key so far: a line that comes back by undo keeps the one it had. */
const nextKey = (list) => Math.max(0, ...list.map(({ key }) => key)) + 1;

/** Marks that turn the direction of writing, and control characters other than a new line: they would let a line look like another. */
export const UNSEEN = /[\u0000-\u0009\u000b-\u001f\u007f-\u009f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ufeff]/g;

/** Words as a line shows them: on one line, without what is not seen. */
export const tidyText = (text) => text.replace(UNSEEN, ' ').replace(/\s+/g, ' ').trim().slice(0, MOST.text);

const tidyNote = (note) => note.replace(/\r\n?/g, '\n').replace(UNSEEN, ' ').slice(0, MOST.note);

const sound = ({ key, text, state = 'open', note = '', place = null, part = null }) => ({ key, text: tidyText(text), state, note: tidyNote(note), place, part });

/** {there, needed, missing}: lines by state; those that are not needed count for nothing. */
export function tally(list) {
  const of = (state) => list.filter((line) => line.state === state).length;
  return { there: of('there'), missing: of('missing'), needed: list.length - of('needless') };
}

/** A list as one string that differs where its tally or its length does. */
export const tallyKey = (list) => Object.values({ ...tally(list), all: list.length }).join(' ');

/**
 * A sound list out of any JSON value: an array whose entries are words alone, or lines as above; keys are given anew. Throws an Error
 * that names the line and what is wrong with it.
 */
export function readChecklist(value) {
  if (!Array.isArray(value)) throw new Error(words.wrong.list);
  if (value.length > MOST.lines) throw new Error(words.wrong.lines(value.length, MOST.lines));
  return value.map((entry, i) => {
    try {
      return { ...readLine(typeof entry === 'string' ? { text: entry } : entry), key: i + 1 };
    } catch (error) {
      throw new Error(words.wrong.at(i + 1, error.message), { cause: error });
    }
  });
}

function readLine(entry) {
  const asked = (holds, wrong) => {
    if (!holds) throw new Error(wrong);
  };
  asked(isRecord(entry), words.wrong.entry);
  const { text, state = 'open', note = '', place = null, part = null } = entry;
  asked(typeof text === 'string' && tidyText(text) !== '', words.wrong.text);
  asked(text.length <= MOST.text, words.wrong.long(words.text, MOST.text));
  asked(CHECKS.includes(state), words.wrong.state(CHECKS.map((one) => `“${one}”`).join(', ')));
  asked(typeof note === 'string', words.wrong.note);
  asked(note.length <= MOST.note, words.wrong.long(words.note, MOST.note));
  asked(part === null || isName(part), words.wrong.part);
  asked(place === null || isPlace(place), words.wrong.place);
  return sound({ text, state, note, place: place && keptPlace(place), part });
}

export const isRecord = (value) => typeof value === 'object' && value !== null && !Array.isArray(value);
export const isName = (value) => typeof value === 'string' && value.length <= MOST.name;
const isNumber = (value) => typeof value === 'number' && Math.abs(value) < FARTHEST;
export const isTriple = (value) => Array.isArray(value) && value.length === 3 && value.every(isNumber);

/** A place: {model, face or null, camera}, or {model, face, point, size} where no camera has been there yet. */
function isPlace(place) {
  if (!isRecord(place) || !isName(place.model)) return false;
  if (place.face !== null && !(Number.isInteger(place.face) && place.face >= 0 && place.face < 2 ** 32)) return false;
  const { camera } = place;
  if (camera === undefined || camera === null) return isTriple(place.point) && isNumber(place.size) && place.size > 0;
  return isCamera(camera);
}

/** True where the renderer can stand there. */
export const isCamera = (camera) =>
  isRecord(camera) &&
  isTriple(camera.target) &&
  [camera.yaw, camera.pitch, camera.distance].every(isNumber) &&
  camera.distance > 0 &&
  ['perspective', 'orthographic'].includes(camera.projection);

/** A camera without the frame's size, which belongs to the window. */
export const keptCamera = ({ target, yaw, pitch, distance, projection }) => ({ target: [...target], yaw, pitch, distance, projection });

/** A place with what belongs to it and nothing else. */
export function keptPlace({ model, face, camera, point, size }) {
  const name = model.replace(UNSEEN, ' ').slice(0, MOST.name);
  if (!camera) return { model: name, face, camera: null, point, size };
  return { model: name, face, camera: keptCamera(camera) };
}
