// What the ledger lists: measured findings and the reviewer's own pins, as entries of one kind, and which of them pass the filters.
// An entry: {key, finding or null, pin or null, severity: as it stands, measured: as measured, state, mark, title, carried: {fate, was} beside
// an earlier revision or null, open: asks for something}.

import { markOf } from './marks.js';
import { pinTitle, pinsHere } from './pins.js';
import { JUDGED, belongs, faceName, findingKey } from './records.js';
import { fatesOf } from './revision.js';
import { texts } from './texts.js';

/** Severities from the top of the list to its end. */
export const RANKS = Object.freeze(['serious', 'fix', 'polish', 'note', 'good']);

const ASKING = ['serious', 'fix', 'polish'];

let last = { of: [], entries: [] }; // what was made last, for the many that ask

/** All entries of the open model, worst first: own ones before measured ones, these as the core ranks them. */
export function entriesOf({ work, review }) {
  const of = [work.findings, work.model, review.marks, review.pins, work.earlier?.record];
  if (of.every((one, i) => one === last.of[i])) return last.entries;
  const fates = fatesOf(work);
  const measured = work.findings.map((finding, i) => ofFinding(finding, review.marks, work.model?.name ?? '', fates.get(i) ?? null));
  const made = [...pinsHere({ work, review }).map(ofPin), ...measured];
  const entries = RANKS.flatMap((severity) => made.filter((entry) => entry.severity === severity));
  last = { of, entries };
  return entries;
}

function ofFinding(finding, marks, model, carried) {
  const mark = markOf(marks, model, finding);
  const severity = mark.severity ?? finding.severity;
  const [title] = texts.measures[finding.measure] ?? [finding.measure];
  return entry({ key: findingKey(finding), finding, pin: null, severity, measured: finding.severity, state: mark.state, mark, title, carried });
}

const ofPin = (pin) => entry({ key: `pin ${pin.key}`, finding: null, pin, severity: pin.severity, measured: null, state: pin.state, mark: null, title: pinTitle(pin), carried: null });

const entry = (one) => ({ ...one, open: one.state === 'open' && ASKING.includes(one.severity) });

/** True when a pass lists an entry: a pin belongs to the one it was placed in. */
export const inPass = ({ finding, pin }, pass) => (finding ? belongs(finding, pass) : !JUDGED.includes(pass) || pin.pass === pass);

/** Entries that the reviewer has not judged yet and that ask for something, of one pass or of all. */
export const openEntries = (state, pass) => entriesOf(state).filter((one) => one.open && inPass(one, pass));

/** Names of the faces an entry lies on. */
export const facesOf = ({ finding, pin }, summary) => (finding ? finding.faces : pin.face === null ? [] : [pin.face]).map((id) => faceName(summary, id));

/** Entries of the pass, or passes, that the ledger is set to. */
export function entriesInScope(state) {
  const { pass } = state.work.ledger;
  return pass === 'all' ? entriesOf(state) : entriesOf(state).filter((one) => inPass(one, pass === 'here' ? state.work.pass : pass));
}

/** Entries that pass all filters, in the list's order. */
export function shownEntries(state) {
  const { shown, states, fates, find } = state.work.ledger;
  const wanted = find.toLowerCase().split(/\s+/).filter(Boolean);
  const said = (one) => wordsOf(one, state.work.model.summary);
  const passes = (one) => shown[one.severity] && states[one.state] && (one.carried === null || fates[one.carried.fate]);
  return entriesInScope(state).filter((one) => passes(one) && (wanted.length === 0 || wanted.every((word) => said(one).includes(word))));
}

/** All words of an entry that are searched. */
function wordsOf(one, summary) {
  const { finding, pin, mark, title } = one;
  const own = finding ? [finding.remedy ?? '', mark.reason, mark.note] : [texts.pins.name(pin.key), pin.text];
  return [title, ...facesOf(one, summary), ...own].join('\n').toLowerCase();
}

/** The chosen entry, or null. */
export function chosenEntry(state) {
  const { finding, pin } = state.work.selection;
  return entriesOf(state).find((one) => (one.pin ? one.pin.key === pin : one.key === finding)) ?? null;
}
