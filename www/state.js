// The page's state and the one function that changes it. `review` can be undone; `work` cannot.

import { PRESETS } from './lamp-rig.js';
import { findingKey, orderOf } from './records.js';
import { CHECKLIST, CHECKLIST_ACTIONS, CHECKLIST_VIEW, CHECKLIST_WORK } from './checklist.js';
import { FILLETS, FILLET_ACTIONS } from './fillets.js';
import { CARRY_ACTIONS } from './carry.js';
import { SECTIONS, SECTIONS_ACTIONS, SECTIONS_FOUND, SECTIONS_WORK } from './named-sections.js';
import { REVISION, REVISION_ACTIONS, STAYED } from './revision.js';
import { MARK_ACTIONS, STATES } from './marks.js';
import { PINS, PINS_ACTIONS, PINS_VIEW, PINS_WORK, PIN_SEVERITIES } from './pins.js';
import { SWEEP, SWEEP_ACTIONS } from './sweep.js';
import { ROWS, ROWS_ACTIONS, withRowsGone } from './rows-state.js';
import { VERDICT, VERDICT_ACTIONS, VERDICT_VIEW, VERDICT_WORK } from './verdict.js';
import { TRIALS, TRIALS_ACTIONS, TRIALS_WORK, TRIAL_VIEW, TRIED, handFace } from './trials.js';
import { UNDERLAY, UNDERLAY_REVIEW, UNDERLAY_WORK } from './underlay.js';
import { ZONING, ZONING_ACTIONS, ZONING_VIEW, ZONING_WORK } from './zones.js';
import { SINGLE, SINGLE_ACTIONS } from './single-state.js';
import { KEEPING, KEEPING_REVIEW, KEEPING_WORK } from './keep-state.js';
import { OFFLINE, OFFLINE_WORK } from './offline-state.js';

const NOTHING_CHOSEN = Object.freeze({ finding: null, join: null, face: null, pin: null });

const all = (names) => Object.freeze(Object.fromEntries(names.map((name) => [name, true])));

/** What the ledger lists while nothing is filtered out. */
const UNFILTERED = Object.freeze({ shown: all(PIN_SEVERITIES), states: all(STATES), fates: all(STAYED), find: '' });

/** Before anything is open. The lamps' numbers are described in lamp-rig.js. */
export const INITIAL = Object.freeze({
  review: {
    yardstick: 'visible',
    // Limits that the user has changed: zone → order → [polish, fix, serious]; limits.js.
    limits: { visible: {}, secondary: {}, hidden: {} },
    ...ZONING, // zones of patches; the yardstick is that of the rest
    lamps: { family: 'isophote', ...PRESETS.room },
    // What colours the surfaces in the Form pass; form-range.js. range, step: null for what the samples say.
    form: { view: 'gaussian', cut: 2, range: null, lines: true, step: null, limit: 3, swapped: false },
    plane: null, // centre plane {normal, offset} or {points}; null for the one found
    search: null, // search distance of joins, mm; null for the usual one
    // Limits that go by sheet and tool, mm and degrees, null for what is not asked; draft: undercut is looked for along the pull.
    making: { sheet: null, inner: null, radius: null, draft: false, least: null, gap: null },
    pull: [0, 0, 1], // direction that draft is measured to
    marks: {}, // finding key → {state, severity, reason, note}; marks.js
    ...PINS,
    ...SECTIONS,
    underlay: null, // where a picture lies against the model; underlay.js
    ...CHECKLIST,
    ...VERDICT,
    ...TRIALS,
  },
  work: {
    pass: 'overview',
    folded: false, // the open pass shows only its name
    theme: 'light',
    graphics: 'starting', // starting | ok | none | lost
    form: null, // {ranges, sides, classes} of the open model, once the Form pass has asked for it
    ramp: [], // colours of the joins' heat-map, from good to bad
    projection: 'perspective',
    measure: 'g1', // order whose measure colours the joins and is traced
    drag: 'view', // what a drag moves while the Highlights pass is open: view or lamps
    handles: true, // the rig is drawn over the model
    beside: null, // another model beside the open one: {name, ready, layout: halves or wipe, at: share of the width}
    rigOf: null, // {size, middle} of the model whose lamps light this one
    tracing: null, // stripes on their way to a file, {form, done, total}
    playing: false, // the lamps go round by themselves
    frame: { kind: 'moving', note: '' },
    pointer: null, // {face, u, v, point, normal, join}
    model: null, // {name, size, reading: {unit, hidden, search, plane}, summary}
    times: null, // of the open model's import, {import_ms, tessellate_ms, joins_ms}
    joins: [],
    findings: [],
    limits: null, // by which joins and findings were judged last: {g0…g3: {unit, limits, usual}}
    surveys: 0, // how often the worker has looked for joins
    busy: null, // {name, stage, done, total}
    failure: null, // {title, message, entity, line, advice}
    notice: null, // one line that needs no answer
    consent: null, // address that waits for a yes
    selection: NOTHING_CHOSEN,
    flight: null, // {point, faces, size, beyond, count}: the camera flies there, facing those faces, beyond the model's own size if said; or {face, count}: to a face; or {points, toward, count}: to where all of them are seen
    trace: null, // {join, length, s, measures, points}
    station: null, // index into trace.s under the pointer
    traceTable: false,
    traceSides: false, // the plot shows both sides of the join instead of the jump
    // The point probe. next: what the next click on the model is for, place or patch; places: [{face, u, v}], two at most.
    probe: { next: null, places: [], patch: null, found: null },
    // Combs: which, how high against the model, mm from tooth to tooth, isoparametric curves each way; combs.js.
    combs: { ways: { across: false, along: false, u: false, v: false, border: false }, height: 1, spacing: 4, curves: 7 },
    combsFound: null, // {wish, sets}
    // Plane sections. axis: normal of the planes; spacing, at, tooth: mm, null for what suits the model; single: one plane, at `at`.
    sections: { on: false, axis: [1, 0, 0], spacing: null, single: false, at: null, combs: false, height: 1, tooth: null },
    // The Centre line pass. image: the mirror image is shown, null where no face has one in the model; picks: places clicked for a plane, null while none are wanted.
    centre: { image: null, map: false, picks: null },
    // The Layout pass. layout: once it has asked for it, layout_pack.rs; layoutView: what is shown, and picked while the selection is `of`.
    layout: null,
    layoutView: { roles: { primary: true, transition: true, detail: true }, all: false, chain: null, spot: null, key: null, of: null },
    // The Gaps pass. gaps: once it has asked for them, gap_pack.rs; gapView: what is shown, and picked while the selection is `of`; at: a station; first, second: joins taken.
    gaps: null,
    gapView: { gap: null, of: null, value: 'width', at: null, exposed: true, first: null, second: null },
    edgesFound: null, // {wish, between: {along, offset, change, ways}}
    centreRows: null, // [{face, angle, point}], once the Centre line pass has asked for them
    lines: null, // {features, corners}, once a pass has asked for them; lines_pack.rs
    cornersOn: false,
    mapped: null, // view whose sampled values the renderer has
    sectionsFound: null, // {wish, cuts: {offsets, points, counts, length, reference, combs}}
    reference: null, // what the model is held against: {name, held: null while it is read, or against_pack.rs, before: the one before while it is read}
    // near: mm, what is farther is missing or extra; map: what colours; ends of the colours of each, null for what the samples say.
    referenceView: { near: 5, map: 'reference', ends: { reference: null, tilt: null } },
    ...REVISION,
    ...SECTIONS_FOUND,
    ...SWEEP,
    ...SINGLE,
    ...ROWS,
    ...FILLETS,
    ...KEEPING,
    ...OFFLINE,
    ...UNDERLAY,
    ...CHECKLIST_VIEW,
    ...PINS_VIEW,
    ...VERDICT_VIEW,
    ...TRIED,
    ...TRIAL_VIEW,
    ...ZONING_VIEW,
    // pass: 'here' for the one that is open, 'all', or a pass; shown, states, fates: severities, states and fates that are; find: words that
    // are looked for; more: the filters besides severities are unfolded; ended: the list of what is no more is.
    ledger: { open: true, list: 'findings', more: false, ended: false, pass: 'here', ...UNFILTERED },
  },
  canUndo: false,
  canRedo: false,
});

const NO_PROBE = Object.freeze({ next: null, places: [], patch: null, found: null });

const has = (id) => id !== null && id !== undefined;

/** With another model, or the same one without its joins and what was made of them. */
const withJoinsGone = (work, model) => ({
  ...withRowsGone(work),
  ...SECTIONS_FOUND,
  ...SWEEP,
  ...TRIED,
  hand: { ...work.hand, net: null, at: null },
  model,
  form: null,
  zones: null,
  tracing: null,
  joins: [],
  findings: [],
  failure: null,
  selection: NOTHING_CHOSEN,
  pinView: { ...work.pinView, aim: false, draw: false },
  flight: null,
  pointer: null,
  trace: null,
  station: null,
  combsFound: null,
  mapped: null,
  lines: null,
  centreRows: null,
  layout: null,
  fillets: null,
  gaps: null,
  gapView: { ...work.gapView, gap: null, of: null, at: null, first: null, second: null },
  edgesFound: null,
  centre: { ...work.centre, picks: null },
  sectionsFound: null,
});

/** Changes to `work`, by action type. */
const WORK = {
  'choose-pass': (work, { pass }) => ({
    ...work,
    pass,
    folded: pass === work.pass && !work.folded,
  }),
  'fold-pass': (work, { folded }) => ({ ...work, folded }),
  'choose-theme': (work, { theme }) => ({ ...work, theme }),
  graphics: (work, { graphics }) => ({ ...work, graphics }),
  'ramp-known': (work, { ramp }) => ({ ...work, ramp }),
  'choose-projection': (work, { projection }) => ({ ...work, projection }),
  'choose-measure': (work, { measure }) => ({ ...work, measure }),
  'choose-drag': (work, { drag }) => ({ ...work, drag }),
  'show-handles': (work, { handles }) => ({ ...work, handles }),
  'beside-began': (work, { name }) => ({ ...work, beside: { layout: 'wipe', at: 0.5, ...work.beside, name, ready: false, stage: 'fetch' } }),
  'beside-progress': (work, { stage }) => (work.beside ? { ...work, beside: { ...work.beside, stage } } : work),
  'beside-ready': (work) => (work.beside ? { ...work, beside: { ...work.beside, ready: true } } : work),
  'beside-layout': (work, { layout }) => ({ ...work, beside: { ...work.beside, layout } }),
  'beside-wipe': (work, { at }) => ({ ...work, beside: { ...work.beside, at: Math.min(1, Math.max(0, at)) } }),
  'beside-closed': (work) => ({ ...work, beside: null }),
  'stripes-began': (work, { form }) => ({ ...work, tracing: { form, done: 0, total: 0 } }),
  'stripes-progress': (work, { done, total }) => (work.tracing ? { ...work, tracing: { ...work.tracing, done, total } } : work),
  'stripes-ended': (work) => ({ ...work, tracing: null }),
  'play-lamps': (work, { playing }) => ({ ...work, playing }),
  frame: (work, { frame }) => ({ ...work, frame }),
  pointer: (work, { pointer }) => ({ ...work, pointer }),
  'import-began': (work, { name }) => ({
    ...work,
    busy: { name, stage: 'fetch', done: 0, total: 0 },
    failure: null,
    notice: null,
  }),
  'import-progress': (work, { stage, done, total }) =>
    work.busy ? { ...work, busy: { ...work.busy, stage, done, total } } : work,
  'import-failed': (work, { failure }) => ({ ...work, busy: null, failure }),
  'import-cancelled': (work) => ({ ...work, busy: null }),
  'model-opened': (work, { model }) => ({
    ...withJoinsGone(work, model),
    beside: null,
    times: null,
    limits: null,
    probe: NO_PROBE,
    sections: { ...work.sections, spacing: null, at: null, tooth: null },
    reference: null,
    earlier: null,
  }),
  // The open model's joins were looked for anew: all else about it stays.
  'model-rejoined': (work, { model }) => withJoinsGone(work, model),
  'form-known': (work, { form }) => ({ ...work, form }),
  // Values sampled over the faces, of which the range is all that the page keeps.
  'maps-known': (work, { view, range }) => (work.form ? { ...work, form: { ...work.form, ranges: { ...work.form.ranges, [view]: range } }, mapped: view } : work),
  'joins-found': (work, { joins }) => ({ ...work, joins }),
  classed: (work, { surveys, joins: classes, zones }) => {
    const same = (join, i) => !classes[i] || (join.class === classes[i][0] && join.required === classes[i][1]);
    const joins = work.joins.every(same)
      ? work.joins
      : work.joins.map((join, i) => (same(join, i) ? join : { ...join, class: classes[i][0], required: classes[i][1] }));
    // Feature lines go by which joins are creases.
    return { ...work, surveys, joins, zones, lines: joins === work.joins ? work.lines : null };
  },
  graded: (work, { findings, limits }) => ({
    ...work,
    findings,
    limits,
    selection: findings.some((finding) => findingKey(finding) === work.selection.finding)
      ? work.selection
      : { ...work.selection, finding: null },
  }),
  'import-done': (work, { times }) => ({ ...work, busy: null, times }),
  'dismiss-failure': (work) => ({ ...work, failure: null }),
  notice: (work, { notice }) => ({ ...work, notice }),
  'ask-consent': (work, { address }) => ({ ...work, consent: address }),
  'choose-finding': (work, { finding, flight }) => ({
    ...work,
    measure: orderOf(finding.measure) ?? work.measure,
    selection: { ...NOTHING_CHOSEN, finding: findingKey(finding), join: finding.join, face: has(finding.join) ? null : (finding.faces[0] ?? null) },
    trace: has(finding.join) && work.trace?.join === finding.join ? work.trace : null,
    station: null,
    flight: flight ? { ...flight, count: (work.flight?.count ?? 0) + 1 } : work.flight,
  }),
  'choose-join': (work, { join, flight }) => ({
    ...work,
    selection: { ...NOTHING_CHOSEN, join, face: handFace(work, join) },
    trace: work.trace?.join === join ? work.trace : null,
    station: null,
    flight: flight ? { ...flight, count: (work.flight?.count ?? 0) + 1 } : work.flight,
  }),
  'choose-face': (work, { face, flight }) => ({
    ...work,
    selection: { ...NOTHING_CHOSEN, face },
    trace: null,
    station: null,
    flight: flight ? { ...flight, count: (work.flight?.count ?? 0) + 1 } : work.flight,
  }),
  'choose-nothing': (work) => ({ ...work, selection: NOTHING_CHOSEN, trace: null, station: null }),
  // What was chosen before pictures were taken.
  'restore-selection': (work, { selection, trace, measure }) => ({ ...work, selection, trace, measure, station: null }),
  'trace-ready': (work, { trace }) => (work.selection.join === trace.join ? { ...work, trace, station: null } : work),
  station: (work, { station }) => ({ ...work, station }),
  'trace-table': (work, { open }) => ({ ...work, traceTable: open }),
  'trace-sides': (work, { on }) => ({ ...work, traceSides: on }),
  'probe-aim': (work, { next }) => ({ ...work, probe: { ...work.probe, next } }),
  // A click while the probe is out: another place, of which the last two are kept, or the patch to measure to.
  'probe-hit': (work, { face, u, v }) => {
    const { probe } = work;
    if (probe.next === 'patch') return { ...work, probe: { ...probe, patch: face, next: 'place' } };
    return { ...work, probe: { ...probe, places: [...probe.places.slice(-1), { face, u, v }] } };
  },
  'probe-found': (work, { found }) => ({ ...work, probe: { ...work.probe, found: work.probe.places.length > 0 ? found : null } }),
  'probe-clear': (work) => ({ ...work, probe: NO_PROBE }),
  'set-combs': (work, { combs }) => ({ ...work, combs: { ...work.combs, ...combs } }),
  'combs-found': (work, { combsFound }) => ({ ...work, combsFound }),
  'set-centre': (work, { centre }) => ({ ...work, centre: { ...work.centre, ...centre } }),
  'lines-known': (work, { lines }) => ({ ...work, lines }),
  'set-corners': (work, { on }) => ({ ...work, cornersOn: on }),
  'layout-known': (work, { layout }) => ({ ...work, layout }),
  'set-layout-view': (work, { view }) => ({ ...work, layoutView: { ...work.layoutView, ...view } }),
  // A chain, a place of it, or a place of a face.
  'choose-layout': (work, { chain = null, spot = null, face = null, key = null, flight }) => {
    const selection = { ...NOTHING_CHOSEN, face };
    const flown = flight ? { ...flight, count: (work.flight?.count ?? 0) + 1 } : work.flight;
    return { ...work, selection, trace: null, station: null, flight: flown, layoutView: { ...work.layoutView, chain, spot, key, of: selection } };
  },
  'gaps-known': (work, { gaps }) => ({ ...work, gaps }),
  'set-gap-view': (work, { view }) => ({ ...work, gapView: { ...work.gapView, ...view } }),
  'choose-gap': (work, { gap, flight }) => {
    const selection = { ...NOTHING_CHOSEN };
    const flown = flight ? { ...flight, count: (work.flight?.count ?? 0) + 1 } : work.flight;
    return { ...work, selection, trace: null, station: null, flight: flown, gapView: { ...work.gapView, gap, at: null, of: selection } };
  },
  'edges-found': (work, { edgesFound }) => ({ ...work, edgesFound }),
  'centre-rows': (work, { rows }) => ({ ...work, centreRows: rows }),
  'set-sections': (work, { sections }) => ({ ...work, sections: { ...work.sections, ...sections } }),
  // What was held before comes back where the next is no reference.
  'reference-began': (work, { name }) => ({ ...work, reference: { name, held: null, before: work.reference?.held ? work.reference : (work.reference?.before ?? null) } }),
  'reference-progress': (work, { done, total }) => (work.reference && !work.reference.held ? { ...work, reference: { ...work.reference, done, total } } : work),
  'reference-failed': (work) => ({ ...work, reference: work.reference?.before ?? null }),
  'reference-held': (work, { held }) => ({ ...work, reference: work.reference && { name: work.reference.name, held, before: null }, mapped: null, sectionsFound: null }),
  'reference-gone': (work) => ({ ...work, reference: null, mapped: null, sectionsFound: null }),
  'set-reference-view': (work, { view }) => ({ ...work, referenceView: { ...work.referenceView, ...view } }),
  'sections-found': (work, { sectionsFound }) => ({ ...work, sectionsFound }),
  ...ROWS_ACTIONS,
  ...FILLET_ACTIONS,
  ...REVISION_ACTIONS,
  ...SECTIONS_WORK,
  ...KEEPING_WORK,
  ...SINGLE_ACTIONS,
  ...OFFLINE_WORK,
  ...SWEEP_ACTIONS,
  ...UNDERLAY_WORK,
  ...CHECKLIST_WORK,
  ...PINS_WORK,
  ...VERDICT_WORK,
  ...TRIALS_WORK,
  ...ZONING_WORK,
  'toggle-ledger': (work, { open }) => ({ ...work, ledger: { ...work.ledger, open } }),
  'choose-list': (work, { list }) => ({ ...work, ledger: { ...work.ledger, list } }),
  'show-severity': (work, { severity, shown }) => ({
    ...work,
    ledger: { ...work.ledger, shown: { ...work.ledger.shown, [severity]: shown } },
  }),
  'show-state': (work, { state, shown }) => ({
    ...work,
    ledger: { ...work.ledger, states: { ...work.ledger.states, [state]: shown } },
  }),
  // pass, fates, find, more, ended
  'set-ledger': (work, { ledger }) => ({ ...work, ledger: { ...work.ledger, ...ledger } }),
  'show-all': (work) => ({ ...work, ledger: { ...work.ledger, pass: 'all', ...UNFILTERED } }),
};

/** Changes to `review`, by action type; each is a step that can be undone. */
const REVIEW = {
  'choose-yardstick': (review, { yardstick }) => ({ ...review, yardstick }),
  'set-limits': (review, { zone, order, limits }) => {
    const { [order]: before, ...others } = review.limits[zone];
    return { ...review, limits: { ...review.limits, [zone]: limits ? { ...others, [order]: limits } : others } };
  },
  'set-plane': (review, { plane }) => ({ ...review, plane }),
  'set-search': (review, { search }) => ({ ...review, search }),
  'set-making': (review, { making }) => ({ ...review, making: { ...review.making, ...making } }),
  'set-pull': (review, { pull }) => ({ ...review, pull }),
  'set-lamps': (review, { lamps }) => ({ ...review, lamps: { ...review.lamps, ...lamps } }),
  ...KEEPING_REVIEW,
  ...UNDERLAY_REVIEW,
  'set-form': (review, { form }) => ({ ...review, form: { ...review.form, ...form } }),
  ...MARK_ACTIONS,
  ...PINS_ACTIONS,
  ...SECTIONS_ACTIONS,
  ...CARRY_ACTIONS,
  ...ZONING_ACTIONS,
  ...CHECKLIST_ACTIONS,
  ...VERDICT_ACTIONS,
  ...TRIALS_ACTIONS,
};

/** The next state. An action that nobody knows is a mistake of ours and throws. */
export function reduce(state, action) {
  if (WORK[action.type]) return { ...state, work: WORK[action.type](state.work, action) };
  if (REVIEW[action.type]) return { ...state, review: REVIEW[action.type](state.review, action) };
  throw new TypeError(`no action ${action.type}`);
}
