// The Trials pass: the list of trials, what came of them, and handing them over.

import { choice, el, factList, replace, tick } from './dom.js';
import { quantity } from './format.js';
import { ORDERS } from './protocol.js';
import { faceName } from './records.js';
import { createTracing } from './stripe-export.js';
import { texts } from './texts.js';
import { MOST, facesOf, mayShowTrials, remedyOf, trialTitle, trialsHere } from './trials.js';
import { wordsField } from './words-field.js';

const words = texts.trials;

/** Findings and joins listed of a kind: more would bury what is told first. */
const SHOWN = 8;

/** `trials`: createTrials(). */
export function mountTrials(root, store, trials) {
  const rows = new Map(); // key → row, kept while its trial is: what is typed outlives every redrawing
  const hint = el('p', { class: 'quiet' }, words.hint);
  const note = el('p', { class: 'quiet' });
  const list = el('ol', { id: 'trial-list', 'aria-label': words.label });
  replace(root, hint, note, list);
  store.watch(
    (state) => [trialsHere(state), state.work.tried, state.work.trialOthers, state.work.model],
    (state) => {
      const own = trialsHere(state);
      hint.hidden = own.length > 0;
      note.textContent = state.review.trials.length >= MOST.trials ? words.full(MOST.trials) : words.none;
      note.hidden = own.length > 0 && state.review.trials.length < MOST.trials;
      const keys = new Set(own.map(({ key }) => key));
      for (const key of rows.keys()) if (!keys.has(key)) rows.delete(key);
      const wanted = own.map((trial, i) => {
        if (!rows.has(trial.key)) rows.set(trial.key, createRow(trial.key, store, trials));
        const row = rows.get(trial.key);
        row.show(trial, i, own.length, state);
        return row.root;
      });
      if (wanted.length !== list.childElementCount || wanted.some((row, i) => row !== list.children[i])) replace(list, wanted);
    },
  );
}

function createRow(key, store, trials) {
  const set = (change, gesture) => store.dispatch({ type: 'set-trial', key, change, gesture });
  const name = wordsField({ id: `trial-name-${key}`, label: words.name, most: MOST.name, lines: 2 }, (value, gesture) => set({ name: value }, gesture));
  const button = (part, label, act) => el('button', { type: 'button', id: `trial-${part}-${key}`, on: { click: act } }, label);
  const move = (by) => () => {
    store.dispatch({ type: 'move-trial', key, by });
    document.getElementById(`trial-${by < 0 ? 'up' : 'down'}-${key}`)?.focus();
  };
  const buttons = { up: button('up', words.earlier, move(-1)), down: button('down', words.later, move(1)), away: button('delete', words.delete, drop), other: button('other', words.another, () => trials.another(key)) };
  const on = el('div', {});
  const facts = el('div', { class: 'trial-facts' });
  const root = el('li', { class: 'trial', data: { key: String(key) } }, name.root, on, el('div', { class: 'buttons' }, Object.values(buttons)), facts);

  function drop() {
    const own = trialsHere(store.state);
    const i = own.findIndex((trial) => trial.key === key);
    const next = own[i + 1] ?? own[i - 1];
    store.dispatch({ type: 'delete-trial', key, say: words.deleted(trialTitle(own[i])) });
    document.getElementById(next ? `trial-name-${next.key}` : 'pass-trials')?.focus();
  }

  return {
    root,
    show(trial, index, count, { work }) {
      const said = trialTitle(trial);
      name.show(trial.name);
      name.box.placeholder = words.edits[trial.edit.edit];
      replace(on, tick(`trial-on-${key}`, words.on, trial.on, (value) => set({ on: value })));
      on.querySelector('input').setAttribute('aria-label', words.onLong(said));
      buttons.up.disabled = index === 0;
      buttons.down.disabled = index === count - 1;
      const remedy = remedyOf(work, trial);
      buttons.other.hidden = !(remedy?.others.length > 0 && remedy.keys[0] === key);
      for (const [part, label] of [['up', words.earlierLong], ['down', words.laterLong], ['away', words.deleteLong], ['other', words.anotherLong]]) buttons[part].setAttribute('aria-label', label(said));
      const failure = trial.on && work.tried?.failures.find((one) => one.trial === index);
      const at = trial.on ? (work.tried?.changes.findIndex((one) => one.trial === index) ?? -1) : -1;
      const change = at < 0 ? null : { ...work.tried.changes[at], deviation: work.tried.outcome?.off[at] };
      root.dataset.state = !trial.on ? 'off' : failure ? 'failed' : change ? 'made' : 'waiting';
      replace(
        facts,
        el('p', { class: 'quiet' }, [words.edits[trial.edit.edit], words.faces(facesOf(trial.edit).map((id) => faceName(work.model.summary, id)))].join(': ')),
        failure && el('p', { class: 'caution' }, `${words.failed}: ${failure.why}`),
        change && changed(change),
      );
    },
  };
}

/** What an edit did, as numbers. */
function changed({ points, rows, largest, residual, deviation, seam, notes }) {
  const mm = (value) => value !== null && value !== undefined && quantity(value, 'mm');
  return [
    factList([
      [words.points, points !== null ? words.moved(points, rows) : words.net],
      [words.largest, mm(largest)],
      [words.residual, residual > 0 && mm(residual)],
      [words.deviation, deviation && words.both(...new Set(deviation.map(mm)))],
      ...(seam ? ORDERS.map((order) => [words.orders[order], seam[order] !== null && shown(seam[order], order)]) : []),
    ].filter(([, value]) => value !== false)),
    notes.map((one) => el('p', { class: 'quiet' }, one)),
  ];
}

/** Units of jumps as they are measured. */
const UNITS = Object.freeze({ g0: 'mm', g1: 'deg', g2: '1/mm', g3: '1/mm2' });

/** Below these a value is rounding. */
const NOTHING = Object.freeze({ g0: 1e-6, g1: 1e-6, g2: 1e-9, g3: 1e-12 });

/** What got better and what got worse. */
export function mountTrialStrip(root, store, trials) {
  let opened = null; // whether the joins are unfolded, once that was said
  root.id = 'trial-strip';
  store.watch(
    ({ work }) => [work.tried, work.trialView.measuring, work.model],
    ({ work }) => {
      const { tried, trialView, model, hand } = work;
      root.hidden = !tried;
      if (!tried) {
        root.dataset.measured = 'false';
        return replace(root);
      }
      const { outcome } = tried;
      const kinds = byKind(outcome);
      const counts = Object.fromEntries(Object.entries(kinds).map(([kind, found]) => [kind, outcome ? String(found.length) : '']));
      Object.assign(root.dataset, { measured: String(Boolean(outcome)), helps: outcome?.helps ?? '', ...counts });
      const name = (ids) => texts.ledger.faces(ids.map((id) => faceName(model.summary, id)));
      replace(
        root,
        el('h3', {}, words.strip),
        tried.failed && el('p', { class: 'caution', role: 'alert' }, tried.failed),
        outcome?.sentence && el('p', { id: 'trial-sentence', class: 'remedy' }, outcome.sentence.charAt(0).toUpperCase() + outcome.sentence.slice(1)),
        outcome && Object.entries(kinds).map(([kind, found]) => kindOf(kind, words.tallies[kind], found, name)),
        !outcome && el('p', { class: 'quiet' }, trialView.measuring ? words.measuring : words.unmeasured),
        !outcome && el('div', { class: 'buttons' }, el('button', { type: 'button', id: 'trial-measure', disabled: trialView.measuring, on: { click: () => trials.measure() } }, words.measure)),
        joinList(tried.joins, name, (join) => store.dispatch({ type: 'choose-join', join }), opened ?? hand.on, (open) => (opened = open)),
      );
    },
  );
}

/** Findings by what became of them. */
function byKind(outcome) {
  const of = (...fates) => (outcome?.findings ?? []).filter(({ fate }) => fates.includes(fate));
  return { gone: of('fixed', 'gone'), better: of('better'), worse: of('worse'), new: of('new') };
}

function kindOf(kind, label, all, name) {
  if (all.length === 0) return null;
  return el(
    'section',
    { class: `trial-kind ${kind}`, id: `trial-${kind}` },
    el('h4', {}, words.tally(label, all.length)),
    el(
      'ul',
      { class: 'trial-found' },
      all.slice(0, SHOWN).map(({ measure, faces, before, after }) => {
        const [title, unit] = texts.measures[measure] ?? [measure, ''];
        const value = (x) => quantity(x, unit);
        const numbers = before === null ? value(after) : after === null ? value(before) : words.fromTo(value(before), value(after));
        return el('li', {}, el('span', {}, `${title}, ${name(faces)}`), el('b', {}, numbers));
      }),
    ),
    all.length > SHOWN && el('p', { class: 'quiet' }, words.more(all.length - SHOWN)),
  );
}

/** Joins that are not as they were, with what differs, those that differ most first; `choose(id)` opens the trace of one that was there before. */
function joinList(joins, name, choose, open, turn) {
  const differing = (join) =>
    ORDERS.map((order) => [order, join[order].map((value) => shown(value, order))]).filter(([, [a, b]]) => a !== b);
  const changed = joins.map((join) => ({ join, parts: differing(join) })).filter(({ parts }) => parts.length > 0);
  // A merged patch has no join where two of them met; a new border may have one.
  const there = (join, side) => ORDERS.some((order) => join[order][side] !== null);
  const row = ({ join, parts }) =>
    el(
      'li',
      {},
      join.join === null ? el('span', {}, name(join.faces)) : el('button', { type: 'button', id: `trial-join-${join.join}`, title: words.trace, on: { click: () => choose(join.join) } }, name(join.faces)),
      !there(join, 1) && el('span', { class: 'trial-order quiet' }, words.noJoin),
      !there(join, 0) && el('span', { class: 'trial-order quiet' }, words.newJoin),
      there(join, 1) && parts.map(([order, [a, b]]) => el('span', { class: 'trial-order', data: { way: wayOf(join[order]) } }, el('span', { class: 'label' }, words.orders[order]), ` ${words.fromTo(a, b)}`)),
    );
  const list = el(
    'details',
    { id: 'trial-joins', open, data: { changed: String(changed.length), all: String(joins.length) }, on: { toggle: () => turn(list.open) } },
    el('summary', { id: 'trial-joins-open' }, words.joins(changed.length)),
    el('ul', { class: 'trial-found' }, changed.slice(0, SHOWN).map(row)),
    changed.length > SHOWN && el('p', { class: 'quiet' }, words.more(changed.length - SHOWN)),
    el('p', { class: 'quiet' }, words.same(joins.length - changed.length)),
  );
  return list;
}

const wayOf = ([a, b]) => (a === null || b === null ? 'other' : b < a ? 'better' : 'worse');

/** A value of a join; what is only rounding is none. */
const shown = (value, order) => (value === null ? '–' : quantity(value < NOTHING[order] ? 0 : value, UNITS[order]));

/** Files and pictures of what is tried. */
export function mountTrialFiles(root, store, trials) {
  let taking = false;
  const button = (id, label, title, act) => el('button', { type: 'button', id, title, on: { click: act } }, label);
  const pictures = button('trial-pictures', words.pictures, words.picturesHint, take);
  const drawings = button('trial-drawings', words.drawings, words.drawingsHint, () => trials.saveDrawings());
  const running = createTracing('trial-drawings', () => trials.stopDrawings());
  const step = [button('trial-step', words.patches, null, () => trials.saveStep(false)), button('trial-step-whole', words.whole, null, () => trials.saveStep(true))];
  replace(root, el('h3', {}, words.handOver), el('div', { class: 'buttons' }, step, pictures, drawings), running.root);
  const show = ({ work, review }) => {
    const seen = work.graphics === 'ok';
    root.hidden = !work.tried;
    pictures.disabled = taking || !seen;
    pictures.textContent = taking ? words.taking : words.pictures;
    drawings.disabled = !seen || work.tracing !== null || review.lamps.family === 'none';
    running.show(work.tracing);
  };
  async function take() {
    taking = true;
    show(store.state);
    await trials.savePictures();
    taking = false;
    show(store.state);
  }
  store.watch(({ work, review }) => [work.tried === null, work.graphics, work.tracing, review.lamps.family], show);
}

/** On the stage, while trials are shown there: what is shown, by a press or as long as it is held. `canvas`: where its key is heard too. */
export function mountTrialBar(bar, canvas, store) {
  let since = 0; // when a press of the key began
  const here = ({ work }) => work.tried !== null && work.graphics === 'ok' && mayShowTrials(work);
  const turn = (before) => store.dispatch({ type: 'set-trial-view', view: { before }, say: before ? words.shownBefore : words.shownAfter });
  store.watch(
    (state) => [here(state), state.work.trialView.before],
    (state) => {
      const { before } = state.work.trialView;
      replace(
        bar,
        here(state) && [
          el('span', { class: 'quiet', title: words.beforeHint }, words.title),
          choice(words.show, [{ id: 'trial-before', value: true, label: words.before, title: words.beforeHint }, { id: 'trial-after', value: false, label: words.after }], before, turn),
        ],
      );
    },
  );
  // The buttons are made anew while one is held: what is heard of them is heard by what stays. Times are those of the presses, however late they are heard.
  bar.addEventListener('pointerdown', ({ target, button, timeStamp }) => {
    if (button !== 0 || target.id !== 'trial-before' || store.state.work.trialView.before) return;
    turn(true);
    addEventListener('pointerup', (event) => event.timeStamp - timeStamp > HELD && turn(false), { once: true });
  });
  canvas.addEventListener('keydown', (event) => {
    if (event.key.toLowerCase() !== 'b' || event.ctrlKey || event.metaKey || event.altKey || event.repeat || !here(store.state)) return;
    event.preventDefault();
    since = event.timeStamp;
    turn(!store.state.work.trialView.before);
  });
  canvas.addEventListener('keyup', (event) => {
    if (event.key.toLowerCase() !== 'b' || since === 0) return;
    if (event.timeStamp - since > HELD) turn(!store.state.work.trialView.before);
    since = 0;
  });
}

/** Press, ms, from which it is held, not pressed. */
const HELD = 400;
