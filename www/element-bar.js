// An element's own controls: stripes, pass, views, the ledger, and the way to the inspector.

import { NAMES } from './element-camera.js';
import { PASSES } from './element-show.js';
import { el } from './dom.js';
import { facesOf, shownEntries } from './entries.js';
import { FAMILIES } from './lamp-rig.js';
import { quantity } from './format.js';
import { unitOf } from './records.js';
import { texts } from './texts.js';

const words = texts.element;

/** Rows that a small list shows; more are for the inspector. */
const ROWS = 200;

const FAMILY_WORDS = { none: 'plain', isophote: 'isophote', highlight: 'highlight', reflection: 'reflection' };

/** Lists of choices and a button, as one row. `inspector()`: address of the model in the inspector, or null. */
export function makeBar(show, inspector) {
  const { store } = show;
  const list = (label, options, take) =>
    el(
      'select',
      { 'aria-label': label, title: label, on: { change: ({ target }) => (show.first(), take(target)) } },
      options.map(([value, name]) => el('option', { value }, name)),
    );
  const family = list(words.stripes, FAMILIES.map((name) => [name, texts.highlights[FAMILY_WORDS[name]]]), ({ value }) => show.family(value));
  const pass = list(words.pass, PASSES.map((name) => [name, texts.passes[name]]), ({ value }) => show.pass(value));
  const named = NAMES.map((name) => [name, name === 'home' ? words.home : texts.view[name]]);
  const view = list(words.view, [['', words.view], ...named], (box) => {
    show.setView(box.value);
    box.value = '';
  });
  const ledger = el('button', { type: 'button', 'aria-expanded': 'false', 'aria-controls': 'ledger' }, words.ledger);
  const link = el('a', { target: '_blank', rel: 'noopener', href: '#' }, words.open);
  const rows = el('section', { class: 'ledger', id: 'ledger', part: 'ledger', 'aria-label': words.rows, hidden: true });
  const bar = el('div', { class: 'bar', part: 'bar', role: 'group', 'aria-label': words.bar, hidden: true }, family, pass, view, ledger, link);
  ledger.addEventListener('click', () => {
    rows.hidden = !rows.hidden;
    ledger.setAttribute('aria-expanded', String(!rows.hidden));
  });
  store.watch(
    ({ work, review }) => [review.lamps.family, work.pass],
    ({ work, review }) => {
      family.value = review.lamps.family;
      pass.value = work.pass;
      // Only these passes show stripes.
      family.disabled = !['overview', 'highlights'].includes(work.pass);
    },
  );
  store.watch(
    ({ work, review }) => [work.model, work.findings, work.pass, review.marks, review.pins],
    (state) => {
      rows.replaceChildren(...(state.work.model ? listed(state, show) : []));
      const address = inspector();
      link.hidden = address === null;
      if (address) link.href = address;
    },
  );
  store.watch(
    ({ work }) => [work.selection, work.findings],
    ({ work: { selection } }) => {
      for (const row of rows.querySelectorAll('.row')) {
        const { entry } = row.dataset;
        row.setAttribute('aria-current', String(entry === selection.finding || entry === `pin ${selection.pin}`));
      }
    },
  );
  return {
    bar,
    rows,
    /** The bar, and the ledger if it is unfolded, are there or not. */
    show(full) {
      bar.hidden = !full;
      if (full) return;
      rows.hidden = true;
      ledger.setAttribute('aria-expanded', 'false');
    },
  };
}

function listed(state, show) {
  const all = shownEntries(state);
  if (all.length === 0) return [el('p', {}, words.none)];
  const rest = all.length - ROWS;
  const { summary } = state.work.model;
  return [
    el('ol', {}, all.slice(0, ROWS).map((entry) => el('li', {}, row(entry, summary, show)))),
    ...(rest > 0 ? [el('p', {}, words.more(rest))] : []),
  ];
}

function row(entry, summary, show) {
  const { finding } = entry;
  const value = Number.isFinite(finding?.value) ? `, ${quantity(finding.value, unitOf(finding))}` : '';
  return el(
    'button',
    { type: 'button', class: 'row', data: { entry: entry.key }, on: { click: () => show.choose(entry.key) } },
    el('span', { class: `mark ${entry.severity}`, 'aria-hidden': 'true' }),
    el(
      'span',
      {},
      entry.title,
      el('small', {}, `${texts.severity[entry.severity]}${value}`),
      el('small', {}, facesOf(entry, summary).join(' · ')),
    ),
  );
}

