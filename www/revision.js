// An earlier revision: what became of its findings, and its review. Nothing here computes geometry.

import { belongs, diagonal, flightTo } from './records.js';

/** Part of `work` of the page's state. */
export const REVISION = Object.freeze({
  // {name, file: File, progress: {stage, done, total} or null; record: `revision` of `check --json`, null while it is read, of: the findings
  // that its indices are of; hash, bbox: of its file; looked: its review was looked for, review: what is taken of that (carry.js) or null,
  // faces: on which faces the review's pins lie, null until that is known; before: the one before while it is read}
  earlier: null,
});

const begun = (file, before) => ({ name: file.name, file, progress: null, record: null, of: null, hash: null, bbox: null, looked: false, review: null, faces: null, before });

const changed = (work, change) => ({ ...work, earlier: { ...work.earlier, ...change } });

export const REVISION_ACTIONS = {
  // What was there before comes back where the next cannot be read.
  'earlier-began': (work, { file }) => ({ ...work, earlier: begun(file, work.earlier?.record ? work.earlier : (work.earlier?.before ?? null)) }),
  'earlier-progress': (work, { stage, done, total }) => (work.earlier && !work.earlier.record ? changed(work, { progress: { stage, done, total } }) : work),
  'earlier-known': (work, { record, about }) => {
    if (!record || !work.earlier) return work;
    // Named sections tell of the earlier revision too.
    const namedFound = work.earlier.record ? work.namedFound : {};
    return { ...changed(work, { record, of: work.findings, ...about, progress: null, before: null }), namedFound };
  },
  'earlier-failed': (work) => ({ ...work, earlier: work.earlier?.before ?? null }),
  'earlier-gone': (work) => ({ ...work, earlier: null }),
  // Of the file of that hash; one that was opened is not exchanged for one that was kept.
  'earlier-review': (work, { hash, review }) => {
    const { earlier } = work;
    if (earlier?.hash !== hash || (earlier.review && !review?.name)) return work;
    return changed(work, { looked: true, review, faces: null });
  },
  'earlier-faces': (work, { review, faces }) => (work.earlier?.review === review ? changed(work, { faces }) : work),
};

/** Fates that are told one by one, those that ask for work first; what stayed as it was is counted. */
export const FATES = Object.freeze(['new', 'worse', 'better', 'fixed', 'gone']);

/** Fates of findings that are there. */
export const STAYED = Object.freeze(['new', 'worse', 'better', 'same']);

/** The finding that a carried one is shown by: the one of now, or the one that is no more. */
export const shownOf = (carried, findings) => (carried.now === null ? carried.was : (findings[carried.now] ?? null));

/** True where what is told is of the findings that are listed: other limits give others, of which it is told a moment later. */
export const isOfNow = ({ earlier, findings }) => Boolean(earlier?.record) && earlier.of === findings;

/** What became of each finding, by its index: {fate, was, now}; none where nothing is held. */
export const fatesOf = (work) => new Map(isOfNow(work) ? work.earlier.record.findings.filter(({ now }) => now !== null).map((carried) => [carried.now, carried]) : []);

/** Findings that are no more, of a pass or of `all`. */
export function endedOf({ work }) {
  const { earlier, ledger } = work;
  const pass = ledger.pass === 'here' ? work.pass : ledger.pass;
  return (earlier?.record?.findings ?? []).filter(({ now, was }) => now === null && (pass === 'all' || belongs(was, pass)));
}

/** Goes to a carried finding. One that is no more has faces of the other file: its place is all there is to go to. */
export function goToCarried(carried, store) {
  const { work } = store.state;
  const finding = shownOf(carried, work.earlier.of);
  if (carried.now === null) store.dispatch({ type: 'choose-face', face: null, flight: flightTo({ ...finding, faces: [], join: null }, []) });
  else store.dispatch({ type: 'choose-finding', finding, flight: flightTo(finding, work.joins) });
}

/** What one size is of another where a unit was mistaken: cm, inches, feet and metres for mm. */
const UNITS = [10, 25.4, 304.8, 1000];
/** How far from that two revisions may be, since their sizes differ a little. Larger: honest changes are doubted. Common practice, no source. */
const NEARLY = 0.1;

/** How many times as large one of both is where a wrong unit would explain it: {times, larger: earlier or now}, else null. */
export function unitDoubt({ earlier, model }) {
  const [before, now] = [diagonal(earlier), diagonal(model?.summary)];
  if (!(before > 0 && now > 0)) return null;
  const times = Math.max(before / now, now / before);
  return UNITS.some((unit) => Math.abs(times / unit - 1) < NEARLY) ? { times, larger: before > now ? 'earlier' : 'now' } : null;
}
