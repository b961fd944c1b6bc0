// The verdict in the review: the summary in the reviewer's own words, and the lines of a rating. Scores and sentences come from the
// core. A line is {text, most, given: points or null, note}.

import { UNSEEN, isRecord, tidyText } from './checklist.js';
import { tidyLines } from './marks.js';
import { texts } from './texts.js';

const words = texts.rating;

/** Bounds: characters of a summary, of a line and of its note, lines, points of a line. */
export const MOST = Object.freeze({ summary: 20000, text: 300, note: 2000, lines: 60, points: 1000 });

/** Part of `review` of the page's state. */
export const VERDICT = Object.freeze({ verdict: Object.freeze({ summary: null, rating: Object.freeze([]) }) });

/** Part of `work`. verdict: the core's record, null before it has come; report: {done, of} while pictures are taken, else null; pictures: which are taken. */
export const VERDICT_VIEW = Object.freeze({ verdict: null, report: null, reportPictures: 'serious' });

export const VERDICT_WORK = {
  'verdict-known': (work, { verdict }) => ({ ...work, verdict }),
  'report-progress': (work, { report }) => ({ ...work, report }),
  'choose-report-pictures': (work, { which }) => ({ ...work, reportPictures: which }),
};

/** Changes to the review; what changes nothing is no step to undo. */
export const VERDICT_ACTIONS = {
  /** The summary in one's own words; null, or words that say nothing, for the one made of the findings. */
  'set-summary': (review, { summary }) => changed(review, { summary }),
  'add-ratings': (review, { lines }) => changed(review, { rating: [...review.verdict.rating, ...lines.map(sound)].slice(0, MOST.lines) }),
  'set-rating': (review, { at, change }) => changed(review, { rating: review.verdict.rating.map((line, i) => (i === at ? kept(line, sound({ ...line, ...change })) : line)) }),
  'delete-rating': (review, { at }) => changed(review, { rating: review.verdict.rating.filter((_, i) => i !== at) }),
};

function changed(review, change) {
  const { summary, rating } = { ...review.verdict, ...change };
  const verdict = { summary: summary === null || summary.trim() === '' ? null : tidyLines(summary, MOST.summary), rating };
  return JSON.stringify(verdict) === JSON.stringify(review.verdict) ? review : { ...review, verdict };
}

/** A line without words is not taken. */
const kept = (line, next) => (next.text === '' ? line : next);

const within = (x, most) => Math.min(most, Math.max(0, x));

/** A line with what belongs to it and nothing else; no more points are given than can be had. */
function sound({ text, most = 10, given = null, note = '' }) {
  const top = Number.isFinite(most) ? within(most, MOST.points) : 0;
  return {
    text: tidyText(text).slice(0, MOST.text),
    most: top,
    given: given === null || !Number.isFinite(given) ? null : within(given, top),
    note: note.replace(/\r\n?/g, '\n').replace(UNSEEN, ' ').slice(0, MOST.note),
  };
}

/** {given, of, open}: points given, of those that can be had, and how many lines were not rated. */
export function total(rating) {
  const rated = rating.filter(({ given }) => given !== null);
  const sum = (lines, of) => Number(lines.reduce((all, line) => all + line[of], 0).toFixed(6));
  return { given: sum(rated, 'given'), of: sum(rating, 'most'), open: rating.length - rated.length };
}

/** A sound verdict out of any JSON value. Throws an Error that names the line and what is wrong with it. */
export function readVerdict(value) {
  if (!isRecord(value)) throw new Error(words.wrong.verdict);
  const { summary = null, rating = [] } = value;
  if (summary !== null && (typeof summary !== 'string' || summary.length > MOST.summary)) throw new Error(words.wrong.summary(MOST.summary));
  return { summary: summary === null || summary.trim() === '' ? null : tidyLines(summary, MOST.summary), rating: readRating(rating) };
}

/** Sound lines out of any JSON value; errors as above. */
export function readRating(value) {
  if (!Array.isArray(value) || value.length > MOST.lines) throw new Error(words.wrong.list(MOST.lines));
  return value.map((line, i) => {
    const wrong = lineFault(line);
    if (wrong) throw new Error(words.wrong.at(i + 1, wrong));
    return sound(line);
  });
}

function lineFault(line) {
  if (!isRecord(line)) return words.wrong.line;
  const { text, most = 10, given = null, note = '' } = line;
  const number = (x, top) => typeof x === 'number' && x >= 0 && x <= top;
  if (typeof text !== 'string' || text.length > MOST.text || tidyText(text) === '') return words.wrong.text(MOST.text);
  if (!number(most, MOST.points)) return words.wrong.most(MOST.points);
  if (given !== null && !number(given, most)) return words.wrong.given;
  return typeof note !== 'string' || note.length > MOST.note ? words.wrong.note(MOST.note) : null;
}
