// The ledger's filters: severities always, and unfolded the pass, words and states; how many of how many are shown.

import { el, replace, tick } from './dom.js';
import { RANKS, entriesInScope, entriesOf, shownEntries } from './entries.js';
import { STATES } from './marks.js';
import { pinsHere } from './pins.js';
import { JUDGED } from './records.js';
import { STAYED } from './revision.js';
import { texts } from './texts.js';

const words = texts.ledger;

/** Where the ledger has room for all filters, they begin unfolded. */
const ROOMY = '(min-width: 60rem) and (min-height: 50rem)';

export function mountFilters(root, store) {
  const set = (ledger) => store.dispatch({ type: 'set-ledger', ledger });
  const severities = el('div', { role: 'group', 'aria-label': words.filter, class: 'filters' });
  const states = el('div', { role: 'group', 'aria-label': words.states, class: 'filters' });
  const fates = el('div', { role: 'group', 'aria-label': texts.revision.filter, class: 'filters' });
  const pinned = el('div', { class: 'filter-pins' });
  const pass = el(
    'select',
    { id: 'ledger-pass', 'aria-label': words.pass, on: { change: () => set({ pass: pass.value }) } },
    [['here', words.here], ['all', words.all], ...JUDGED.map((name) => [name, texts.passes[name]])].map(([value, label]) => el('option', { value }, label)),
  );
  const find = el('input', { type: 'text', id: 'ledger-find', 'aria-label': words.find, title: words.findHint, placeholder: words.find, maxlength: 200, on: { input: () => set({ find: find.value }) } });
  find.addEventListener('keydown', (event) => {
    if (event.key !== 'Escape' || find.value === '') return;
    event.stopPropagation();
    set({ find: '' });
  });
  const more = el('div', { class: 'filter-more', id: 'filter-more' }, el('div', { class: 'filter-find' }, pass, find), states, fates, pinned);
  const counted = el('span', { id: 'ledger-count', role: 'status', class: 'quiet' });
  const all = el('button', { type: 'button', id: 'ledger-all', on: { click: showAll } }, words.showAll);
  const unfold = el('button', { type: 'button', id: 'ledger-more', 'aria-controls': more.id, on: { click: () => set({ more: !store.state.work.ledger.more }) } }, words.more);
  replace(root, severities, more, el('div', { class: 'filter-line' }, counted, all, unfold));
  if (matchMedia(ROOMY).matches) set({ more: true });

  function showAll() {
    store.dispatch({ type: 'show-all' });
    // It has nothing left to do, and goes.
    unfold.focus({ preventScroll: true });
  }

  const filter = (id, on, label, n, bar, take) =>
    el(
      'button',
      { type: 'button', id, class: 'filter', 'aria-pressed': String(on), on: { click: take } },
      bar && el('span', { class: `bar ${bar}`, 'aria-hidden': 'true' }),
      `${label} `,
      el('b', {}, String(n)),
    );

  store.watch(
    ({ work, review }) => [work.ledger, work.findings, work.pass, work.model, work.earlier?.record, review.marks, review.pins],
    (state) => {
      const { ledger } = state.work;
      const scope = entriesInScope(state);
      const [shown, total] = [shownEntries(state).length, entriesOf(state).length];
      replace(
        severities,
        RANKS.map((severity) => {
          const on = ledger.shown[severity];
          const n = scope.filter((entry) => entry.severity === severity).length;
          return filter(`show-${severity}`, on, texts.severity[severity], n, severity, () => store.dispatch({ type: 'show-severity', severity, shown: !on }));
        }),
      );
      replace(
        states,
        STATES.map((one) => {
          const on = ledger.states[one];
          const n = scope.filter((entry) => entry.state === one).length;
          return filter(`show-${one}`, on, texts.marks.states[one], n, null, () => store.dispatch({ type: 'show-state', state: one, shown: !on }));
        }),
      );
      const carried = scope.filter((entry) => entry.carried);
      fates.hidden = carried.length === 0;
      replace(
        fates,
        STAYED.map((fate) => {
          const on = ledger.fates[fate];
          const n = carried.filter((entry) => entry.carried.fate === fate).length;
          return filter(`fate-${fate}`, on, texts.revision.fate[fate], n, null, () => set({ fates: { ...ledger.fates, [fate]: !on } }));
        }),
      );
      pass.value = ledger.pass;
      if (find.value !== ledger.find) find.value = ledger.find;
      more.hidden = !ledger.more;
      unfold.setAttribute('aria-expanded', String(ledger.more));
      const said = words.counted(shown, total);
      if (counted.textContent !== said) counted.textContent = said;
      all.hidden = shown === total;
    },
  );
  store.watch(
    ({ work, review }) => [review.pins, work.model, work.pinView.shown],
    (state) => {
      const here = pinsHere(state).length;
      const others = state.review.pins.length - here;
      const { shown } = state.work.pinView;
      replace(
        pinned,
        here > 0 &&
          tick('pins-shown', texts.pins.shown, shown, (on) => store.dispatch({ type: 'show-pins', shown: on })),
        others > 0 && el('span', { class: 'quiet' }, texts.pins.others(others)),
      );
      pinned.hidden = here === 0 && others === 0;
    },
  );
}
