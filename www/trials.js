// Trials: what-if edits over the open model, made upon each other by the core and never part of the model. Their state, what changes it, and
// the reading of those that come from outside. A trial is {key, model, name, on, edit}; what an edit says is the core's to read (core/src/trial).

import { tidyText } from './checklist.js';
import { field, flag, list, number, oneOf, record, refuse, text } from './outside.js';
import { texts } from './texts.js';

const words = texts.trials;

/** Bounds: trials of a review, characters of a name; values in an edit, how deep they lie, characters of a word in it. */
export const MOST = Object.freeze({ trials: 60, name: 160, values: 200, depth: 5, word: 40 });

/** Edits that the core knows. */
export const EDITS = Object.freeze(['drag', 'refit', 'conform', 'crown', 'ridge_sign', 'merge', 'edge_refit', 'extend', 'resweep', 'refillet']);

/** Part of `review` of the page's state. */
export const TRIALS = Object.freeze({ trials: Object.freeze([]) });

/** Part of `work` that goes with the model. tried: what came of the trials, trial_pack.rs; trialOthers: by the key of a trial that is part of a remedy: {keys, edits: of all of it, others: more ways, finding: its key}. */
export const TRIED = Object.freeze({ tried: null, untried: null, trialOthers: Object.freeze({}) });

/** Part of `work`. before: the imported model is shown; measuring: the model with the trials is being measured; making: the form that is open. */
export const TRIAL_VIEW = Object.freeze({
  trialView: Object.freeze({ before: false, measuring: false, making: null }),
  // By hand. net: the chosen patch's, as the trials leave it; at: [row, column] of its control point; way: view, normal, u or v; step: mm of a key;
  // reach: [rows, columns] that follow; locks: free or g0 … g3 of the sides at least u, greatest u, least v, greatest v.
  hand: Object.freeze({ on: false, net: null, at: null, way: 'normal', step: 0.1, reach: Object.freeze([0, 0]), locks: Object.freeze(['free', 'free', 'free', 'free']), twin: false }),
});

export const TRIALS_WORK = {
  tried: (work, { tried, measuring }) => ({ ...work, tried, trialView: { ...work.trialView, measuring } }),
  // Why a finding's remedy cannot be tried: {finding: its key, why: null while that is looked for, there: its trials are made already}.
  untried: (work, { untried }) => ({ ...work, untried }),
  'trial-others': (work, { keys, edits, others, finding }) => ({ ...work, trialOthers: { ...work.trialOthers, ...Object.fromEntries(keys.map((key) => [key, { keys, edits, others, finding }])) } }),
  'set-trial-view': (work, { view }) => ({ ...work, trialView: { ...work.trialView, ...view } }),
  'set-hand': (work, { hand }) => ({ ...work, hand: { ...work.hand, ...hand } }),
};

/** Changes to the review; what changes nothing is no step to undo. */
export const TRIALS_ACTIONS = {
  'add-trial': (review, { model, name, edit }) => {
    if (review.trials.length >= MOST.trials) return review;
    return { ...review, trials: [...review.trials, { key: nextTrial(review.trials), model, name: tidyName(name), on: true, edit }] };
  },
  /** The edits of a remedy, one trial each, in the place of those with the keys `instead`. */
  'take-remedy': (review, { model, name, edits, instead }) => {
    const key = nextTrial(review.trials);
    const kept = review.trials.filter((trial) => !instead.includes(trial.key));
    if (kept.length + edits.length > MOST.trials) return review;
    return { ...review, trials: [...kept, ...edits.map((edit, i) => ({ key: key + i, model, name: tidyName(name), on: true, edit }))] };
  },
  /** Another name, or edit, or on and off. */
  'set-trial': (review, { key, change }) => {
    const at = review.trials.findIndex((trial) => trial.key === key);
    if (at < 0) return review;
    const was = review.trials[at];
    const next = { ...was, ...change };
    next.name = tidyName(next.name);
    const same = next.name === was.name && next.on === was.on && JSON.stringify(next.edit) === JSON.stringify(was.edit);
    return same ? review : { ...review, trials: review.trials.with(at, next) };
  },
  /** Made `by` places later among those of its model. */
  'move-trial': (review, { key, by }) => {
    const trial = review.trials.find((one) => one.key === key);
    const own = review.trials.filter(({ model }) => model === trial?.model);
    const [from, to] = [own.indexOf(trial), own.indexOf(trial) + by];
    if (!trial || to < 0 || to >= own.length) return review;
    const next = own.toSpliced(from, 1).toSpliced(to, 0, trial);
    return { ...review, trials: [...review.trials.filter(({ model }) => model !== trial.model), ...next] };
  },
  'delete-trial': (review, { key }) => {
    const trials = review.trials.filter((trial) => trial.key !== key);
    return trials.length === review.trials.length ? review : { ...review, trials };
  },
};

const tidyName = (name) => tidyText(name).slice(0, MOST.name);

/** One more than any key so far: a trial that comes back by undo keeps the one it had. */
export const nextTrial = (trials) => Math.max(0, ...trials.map(({ key }) => key)) + 1;

const held = new WeakMap(); // trials of the review → [model's name, those of it]

/** Trials of the open model, in the order in which they are made; the same list while nothing of it changes. */
export function trialsHere({ work, review }) {
  const name = work.model?.name ?? null;
  if (!held.has(review.trials) || held.get(review.trials)[0] !== name) held.set(review.trials, [name, review.trials.filter(({ model }) => model === name)]);
  return held.get(review.trials)[1];
}

/** Passes in which the model can be shown as the trials leave it. */
export const mayShowTrials = ({ pass }) => pass === 'trials' || pass === 'highlights';

/** Whether it is shown so. */
export const showsTrials = (work) => mayShowTrials(work) && !work.trialView.before;

/** The face that stays chosen with a join: the one that is moved by hand, along its own joins. */
export const handFace = ({ pass, hand, selection, joins }, join) =>
  pass === 'trials' && hand.on && joins.find(({ id }) => id === join)?.faces.includes(selection.face) ? selection.face : null;

/** The trace of the chosen join as it is shown: {trace, other}; where trials change the join, theirs, and the imported one as the other. */
export function shownTrace(work) {
  const now = work.tried?.trace ?? null;
  const changed = now !== null && now.join === work.selection.join && showsTrials(work);
  return changed ? { trace: now, other: work.trace } : { trace: work.trace, other: null };
}

/** What changes which trace that is. */
export const traceParts = ({ trace, tried, trialView, pass, selection }) => [trace, tried, trialView.before, pass, selection.join];

/** What a trial is called. */
export const trialTitle = ({ name, edit }) => name || words.edits[edit.edit];

/** The remedy that a trial is part of, while it is as it was made; keys come again after a step back. */
export const remedyOf = (work, { key, edit }) => (work.trialOthers[key]?.edits.includes(edit) ? work.trialOthers[key] : null);

/** Faces that an edit names. */
export const facesOf = ({ face, faces, to, beside }) => [face, ...(faces ?? []), to, ...[beside ?? []].flat()].filter(Number.isInteger);

/** Sound trials out of any JSON value; keys are given anew where not all are told apart by them. What edits say is bounded here and read by the core. */
export function readTrials(value, path) {
  const read = list(value, path, 0, MOST.trials).map((entry, i) => {
    const at = `${path}.${i}`;
    record(entry, at);
    return {
      key: field(entry, 'key'),
      model: text(field(entry, 'model') ?? '', `${at}.model`, 300),
      name: tidyName(text(field(entry, 'name') ?? '', `${at}.name`, MOST.name)),
      on: flag(field(entry, 'on') ?? true, `${at}.on`),
      edit: readEdit(field(entry, 'edit'), `${at}.edit`),
    };
  });
  const keyed = read.every(({ key }) => Number.isInteger(key) && key > 0 && key < 1e9) && new Set(read.map(({ key }) => key)).size === read.length;
  return keyed ? read : read.map((one, i) => ({ ...one, key: i + 1 }));
}

function readEdit(value, path) {
  oneOf(field(record(value, path), 'edit'), `${path}.edit`, EDITS);
  let values = 0;
  const plain = (one, at, depth) => {
    values += 1;
    if (values > MOST.values || depth > MOST.depth) refuse(path, words.large);
    if (one === null || typeof one === 'boolean') return one;
    if (typeof one === 'string') return text(one, at, MOST.word);
    if (typeof one === 'number') return number(one, at);
    if (Array.isArray(one)) return one.map((part, i) => plain(part, `${at}.${i}`, depth + 1));
    return Object.fromEntries(Object.entries(record(one, at)).map(([name, part]) => [text(name, at, MOST.word), plain(part, `${at}.${name}`, depth + 1)]));
  };
  return plain(value, path, 0);
}
