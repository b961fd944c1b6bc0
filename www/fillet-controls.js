// The Fillets pass: how many there are, a list with the tightest first, and what the chosen one is.

import { el, factList, replace } from './dom.js';
import { count, number, quantity } from './format.js';
import { chosenFillet, filletFlight, ranked } from './fillets.js';
import { faceName } from './records.js';
import { texts } from './texts.js';

const words = texts.fillets;

/** Fillets listed by themselves. More are a list that nobody reads to its end. */
const LISTED = 40;

export function mountFillets(root, store) {
  const [list, facts] = ['fillet-list', 'fillet-facts'].map((id) => el('div', { class: 'block', id }));
  replace(root, facts, list);
  store.watch(
    ({ work }) => [work.fillets, work.model, chosenFillet(work)],
    ({ work }) => {
      const { fillets, model } = work;
      if (!fillets) return replace(list, model && el('p', { class: 'quiet' }, words.waiting));
      replace(list, listed(work, store));
    },
  );
  store.watch(
    ({ work }) => [work.fillets, chosenFillet(work)],
    ({ work }) => replace(facts, work.fillets && work.fillets.edges.length > 0 && [el('h3', {}, words.chosen), told(work)]),
  );
}

function listed(work, store) {
  const { edges, corners } = work.fillets;
  const chosen = chosenFillet(work);
  const order = ranked(work.fillets);
  const shown = order.slice(0, LISTED);
  if (chosen !== null && !shown.includes(chosen)) shown.push(chosen);
  const row = (i) =>
    el(
      'li',
      {},
      el(
        'button',
        {
          type: 'button',
          id: `fillet-${i}`,
          class: 'line-row',
          'aria-pressed': String(i === chosen),
          data: { radius: String(edges[i].radius[0]), balance: String(edges[i].balance) },
          on: { click: () => store.dispatch({ type: 'choose-fillet', index: i === chosen ? null : i, flight: i === chosen ? undefined : filletFlight(edges[i]) }) },
        },
        el('span', {}, words.name(i + 1)),
        el('span', { class: 'line-length' }, words.radius(...edges[i].radius.map(number))),
        el('span', { class: 'line-odd' }, [words.bend[edges[i].convex], edges[i].balance !== null && quantity(edges[i].balance, 'share'), edges[i].opening !== null && quantity(edges[i].opening, 'deg')].filter(Boolean).join(', ')),
      ),
    );
  return [
    el('h3', {}, words.title(edges.length)),
    el('p', { class: 'quiet' }, edges.length === 0 ? words.none : words.hint),
    corners.length > 0 && el('p', { class: 'quiet' }, words.corners(corners.length)),
    el('ul', { class: 'look-list' }, shown.map(row)),
    edges.length > LISTED && el('p', { class: 'quiet' }, words.more(count(edges.length - LISTED))),
  ];
}

function told(work) {
  const fillet = work.fillets.edges[chosenFillet(work) ?? -1];
  if (!fillet) return el('p', { class: 'quiet' }, words.pick);
  const { summary } = work.model;
  const names = (faces) => (faces.length > 2 ? words.many(faces.length) : faces.map((id) => faceName(summary, id)).join(', '));
  const range = ([low, high]) => (number(low) === number(high) ? '' : `${number(low)} – `) + quantity(high, 'mm');
  const named = [
    [words.facts.faces, names(fillet.faces)],
    [words.facts.between, words.and(...fillet.beside.map(names))],
  ];
  const rows = [
    [words.facts.length, quantity(fillet.length, 'mm')],
    [words.facts.bend, words.bend[fillet.convex]],
    [words.facts.radius, range(fillet.radius)],
    [el('span', { title: words.facts.equalHint }, words.facts.equal), fillet.equal && range(fillet.equal)],
    [words.facts.balance, fillet.balance !== null && quantity(fillet.balance, 'share')],
    [words.facts.opening, fillet.opening !== null && quantity(fillet.opening, 'deg')],
    [words.facts.leadIn, words.and(...fillet.lead_in.map((order) => order.toUpperCase()))],
  ];
  return [factList(named, { class: 'facts named' }), factList(rows.filter(([, value]) => value)), fillet.equal === null && el('p', { class: 'quiet' }, words.noEdge)];
}
