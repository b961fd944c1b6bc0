// What the reviewer says of measured findings: a state, another severity with its reason, a note. `review.marks` keeps them by
// `markKey`, each {state, severity?, reason?, note?}; a finding of which nothing was said has none.

import { SEVERITIES } from './protocol.js';
import { markKey } from './records.js';
import { texts } from './texts.js';
import { UNSEEN, isRecord } from './checklist.js';

const words = texts.marks;

/** States of a finding, in the order they are offered. */
export const STATES = Object.freeze(['open', 'agreed', 'waived', 'fixed']);

/** Bounds: marks of a review, characters of a key, of a reason and of a note. */
export const MOST = Object.freeze({ marks: 20000, key: 20000, reason: 500, note: 2000 });

const UNSAID = Object.freeze({ state: 'open', severity: null, reason: '', note: '' });

/** The mark of a finding, with all its fields; `severity` is null where it stands as measured. */
export const markOf = (marks, modelName, finding) => ({ ...UNSAID, ...marks[markKey(modelName, finding)] });

/** Words of several lines, without what is not seen. */
export const tidyLines = (text, most) => text.replace(/\r\n?/g, '\n').replace(UNSEEN, ' ').slice(0, most);

/** What is kept of a mark with all its fields, or null where it says nothing. */
export function kept({ state, severity, reason, note }) {
  const mark = { state };
  if (severity) Object.assign(mark, { severity, reason: tidyLines(reason, MOST.reason).trim() });
  const said = tidyLines(note, MOST.note);
  if (said.trim() !== '') mark.note = said;
  return state === 'open' && !mark.severity && !mark.note ? null : mark;
}

/** Changes to the review; what changes nothing is no step to undo. */
export const MARK_ACTIONS = {
  /** Says something else of a finding. Another severity is not taken without a reason. */
  'mark-finding': (review, { key, change }) => {
    const before = { ...UNSAID, ...review.marks[key] };
    const wanted = { ...before, ...change };
    if (wanted.severity && wanted.reason.trim() === '') return review;
    const mark = kept(wanted);
    if (JSON.stringify(mark) === JSON.stringify(kept(before))) return review;
    const { [key]: _, ...others } = review.marks;
    return { ...review, marks: mark ? { ...others, [key]: mark } : others };
  },
};

/**
 * Sound marks out of any JSON value. Throws an Error that names the entry and what is wrong with it. A mark of before there were
 * severities of one's own, "overruled", said that this is no fault: with a reason the finding stands as good, without it is waived.
 */
export function readMarks(value) {
  if (!isRecord(value)) throw new Error(words.wrong.record);
  const entries = Object.entries(value);
  if (entries.length > MOST.marks) throw new Error(words.wrong.many(entries.length, MOST.marks));
  const read = entries.map(([key, entry], i) => {
    try {
      return [key, readMark(key, entry)];
    } catch (error) {
      throw new Error(words.wrong.at(i + 1, error.message), { cause: error });
    }
  });
  return Object.fromEntries(read.filter(([, mark]) => mark !== null));
}

function readMark(key, entry) {
  const asked = (holds, wrong) => {
    if (!holds) throw new Error(wrong);
  };
  asked(key.includes('|') && key.length <= MOST.key, words.wrong.key);
  asked(isRecord(entry), words.wrong.entry);
  let { state = 'open', severity = null, reason = '', note = '' } = entry;
  asked(typeof reason === 'string' && reason.length <= MOST.reason, words.wrong.long(words.reason, MOST.reason));
  asked(typeof note === 'string' && note.length <= MOST.note, words.wrong.long(words.note, MOST.note));
  if (state === 'overruled') [state, severity] = reason.trim() === '' ? ['waived', null] : ['open', 'good'];
  asked(STATES.includes(state), words.wrong.state(STATES));
  asked(severity === null || SEVERITIES.includes(severity), words.wrong.severity(SEVERITIES));
  asked(severity === null || reason.trim() !== '', words.wrong.reason);
  return kept({ state, severity, reason, note });
}
