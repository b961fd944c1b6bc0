// Making an edit by its numbers: a small form a kind, for the chosen patch.

import { el, replace } from './dom.js';
import { faceName } from './records.js';
import { texts } from './texts.js';
import { MOST, nextTrial } from './trials.js';

const words = texts.trials.make;

const SIDES = ['u_low', 'u_high', 'v_low', 'v_high'];
const ORDERS = ['g0', 'g1', 'g2', 'g3'];
const named = (values, labels) => values.map((value, i) => [value, labels[i]]);
const orders = named(ORDERS, ORDERS.map((one) => one.toUpperCase()));
const sides = named(SIDES, texts.trials.hand.sides);
const ways = Object.entries(words.ways);

/** Fields: {name, label, usual: the value it begins with, choices or least number}; `whole`: counts; `empty`: may be left out. */
const number = (name, label, usual, least = 0) => ({ name, label, usual, least });
const whole = (name, label, usual, least = 1) => ({ ...number(name, label, usual, least), whole: true });
const pick = (name, label, choices) => ({ name, label, choices, usual: choices[0][0] });
/** One of the patches that the chosen one has a join with; `place`: which of them, from 0, it begins with. */
const near = (name, label, place = 0) => ({ name, label, near: place, usual: null });
const tolerance = number('tolerance', words.tolerance, 0.01, 1e-9);
const search = number('search', words.search, 0.5);
const locks = (order) => [order, order, order, order].map((held) => ({ held }));

/** Kinds: their fields, and the edit of the chosen face and the fields' values. `when`: a field that counts only where it says so. */
const KINDS = {
  refit: {
    fields: [
      pick('size', words.size, Object.entries(words.sizes)),
      { ...tolerance, when: ({ size }) => size === 'smallest' },
      ...[0, 1].map((i) => ({ ...whole(`degree${i}`, words.degree[i], 3), when: ({ size }) => size === 'chosen' })),
      ...[0, 1].map((i) => ({ ...whole(`spans${i}`, words.spans[i], 1), when: ({ size }) => size === 'chosen' })),
      { ...number('fairness', words.fairness, 0), when: ({ size }) => size === 'chosen' },
      pick('keep', texts.trials.hand.locks, named(['none', ...ORDERS], [texts.trials.hand.lock.free, ...orders.map(([, label]) => label)])),
    ],
    edit: (face, of) => ({
      face,
      size: of.size === 'smallest' ? { tolerance: of.tolerance } : { degree: [of.degree0, of.degree1], spans: [of.spans0, of.spans1], fairness: of.fairness },
      keep: SIDES.map(() => (of.keep === 'none' ? null : of.keep)),
    }),
  },
  merge: { fields: [near('other', words.other), tolerance, search], edit: (face, of) => ({ faces: [face, of.other], tolerance: of.tolerance, search: of.search }) },
  conform: {
    fields: [pick('side', words.side, sides), near('other', words.other), pick('order', words.order, orders), pick('keep', words.keep, orders), search, tolerance],
    edit: (face, { side, other, order, keep, search: far, tolerance: within }) => ({ face, side, to: other, order, keep, search: far, tolerance: within }),
  },
  crown: {
    fields: [pick('along', words.along, ways), ...[0, 1, 2].map((i) => number(`third${i}`, words.thirds[i], 0, null)), pick('keep', texts.trials.hand.locks, orders)],
    edit: (face, of) => ({ face, along: of.along, by: [of.third0, of.third1, of.third2], up: null, locks: locks(of.keep) }),
  },
  ridge_sign: {
    fields: [pick('side', words.side, sides), near('other', words.other), number('least', words.least, 0.5, 1e-6), search],
    edit: (face, { side, other, least, search: far }) => ({ face, side, beside: other, least, search: far }),
  },
  edge_refit: { fields: [pick('side', words.side, sides), whole('degree', words.edge[0], 3), whole('spans', words.edge[1], 1)], edit: (face, { side, degree, spans }) => ({ face, side, degree, spans }) },
  extend: { fields: [pick('side', words.side, sides), number('length', words.length, 5, 1e-9)], edit: (face, { side, length }) => ({ face, side, length }) },
  resweep: {
    fields: [pick('rails', words.rails, ways), pick('sections', words.sections, Object.entries(words.section)), tolerance],
    edit: (face, { rails, sections, tolerance: within }) => ({ face, rails, sections, tolerance: within }),
  },
  refillet: {
    fields: [
      pick('along', words.along, ways),
      near('first', words.first),
      near('second', words.second, 1),
      pick('profile', words.profile, Object.entries(words.profiles)),
      { ...number('radius', words.radius, null, 1e-9), empty: true },
      tolerance,
      search,
    ],
    edit: (face, of) => ({
      face,
      along: of.along,
      beside: [of.first, of.second],
      profile: of.profile,
      setback: of.radius === null ? 'mean' : { radius: of.radius },
      tolerance: of.tolerance,
      search: of.search,
    }),
  },
};

export function mountEditForm(root, store) {
  root.id = 'trial-make';
  const set = new Map(); // kind → the values that were set

  const valuesOf = (kind) => {
    if (!set.has(kind)) set.set(kind, Object.fromEntries(KINDS[kind].fields.map(({ name, usual }) => [name, usual])));
    return set.get(kind);
  };

  function draw({ work, review }) {
    const { model, selection, trialView } = work;
    const kind = trialView.making ?? 'refit';
    const face = selection.face ?? null;
    const values = valuesOf(kind);
    const change = (name, value) => {
      values[name] = value;
      draw(store.state);
    };
    const full = review.trials.length >= MOST.trials;
    const beside = face === null ? [] : besideOf(work.joins, face);
    const shown = KINDS[kind].fields.filter(({ when }) => !when || when(values)).map((one) => {
      if (one.near === undefined) return one;
      if (!beside.includes(values[one.name])) values[one.name] = beside[Math.min(one.near, beside.length - 1)] ?? null;
      return { ...one, choices: beside.map((id) => [id, faceName(model.summary, id)]) };
    });
    const alone = face !== null && shown.some((one) => one.near !== undefined && values[one.name] === null);
    const kinds = el(
      'select',
      { id: 'make-kind', on: { change: () => store.dispatch({ type: 'set-trial-view', view: { making: kinds.value } }) } },
      Object.keys(KINDS).map((value) => el('option', { value, selected: value === kind }, texts.trials.edits[value])),
    );
    replace(
      root,
      model && [
        el('h3', {}, words.title),
        el('div', { class: 'field' }, el('label', { for: 'make-kind' }, words.which), kinds),
        el('p', { class: 'quiet' }, face === null ? words.choose : `${words.face}: ${faceName(model.summary, face)}`),
        face !== null && shown.map((one) => field(one, values[one.name], (value) => change(one.name, value))),
        alone && el('p', { class: 'quiet' }, words.alone),
        el('div', { class: 'buttons' }, el('button', { type: 'button', id: 'make-add', disabled: face === null || alone || full, on: { click: () => add(kind, face, values) } }, words.add)),
      ],
    );
  }

  function add(kind, face, values) {
    const key = nextTrial(store.state.review.trials);
    const name = texts.trials.edits[kind];
    store.dispatch({ type: 'add-trial', model: store.state.work.model.name, name, edit: { edit: kind, ...KINDS[kind].edit(face, values) }, say: texts.trials.added(name) });
    document.getElementById(`trial-name-${key}`)?.focus();
  }

  store.watch(({ work, review }) => [work.model, work.joins, work.selection.face, work.trialView.making, review.trials.length >= MOST.trials], draw);
}

/** Patches that have a join with one, by number. */
function besideOf(joins, face) {
  const all = joins.filter((join) => join.faces.includes(face)).flatMap((join) => join.faces);
  return [...new Set(all)].filter((id) => id !== face).sort((a, b) => a - b);
}

function field({ name, label, choices, least, whole: counts, empty, near: long }, value, take) {
  const id = `make-${name}`;
  const box = choices
    ? el('select', { id, on: { change: () => take(choices[box.selectedIndex][0]) } }, choices.map(([one, said]) => el('option', { value: one, selected: one === value }, said)))
    : el('input', {
        type: 'number',
        id,
        min: least,
        step: counts ? 1 : 'any',
        value: value === null ? '' : String(value),
        on: {
          change: () => {
            const given = Number(box.value);
            if (box.value === '') return take(empty ? null : value);
            take(Number.isFinite(given) && (least === null || given >= least) ? (counts ? Math.round(given) : given) : value);
          },
        },
      });
  // Names of patches are long.
  return el('div', { class: long === undefined ? 'field pair' : 'field' }, el('label', { for: id }, label), box);
}
