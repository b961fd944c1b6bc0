// The short lists of the Layout pass: what is narrow, tiny, broken off or wasted, each with a button that goes there.

import { el, replace } from './dom.js';
import { count, quantity } from './format.js';
import { chainOf, picked } from './layout.js';
import { faceName, flightTo } from './records.js';
import { texts } from './texts.js';

const words = texts.layout;

/** Rows of a list at most. */
const ROWS = 20;
export function mountLooks(root, store) {
  const open = new Set(); // names of the lists that the user has unfolded
  store.watch(
    ({ work }) => [work.layout, work.findings, work.model],
    ({ work }) => {
      if (!work.layout) return replace(root);
      const lists = looks(work);
      const empty = lists.filter(({ rows }) => rows.length === 0).map(({ name }) => words.look[name].toLowerCase());
      replace(
        root,
        el('h3', {}, words.looks),
        lists.filter(({ rows }) => rows.length > 0).map((one) => list(one, open, store)),
        empty.length > 0 && el('p', { class: 'quiet', id: 'looks-clean' }, words.clean(empty)),
      );
      markPicked(root, work);
    },
  );
  store.watch(
    ({ work }) => [work.layoutView, work.selection],
    ({ work }) => markPicked(root, work),
  );
}

/** The row that was picked, while nothing else is chosen. */
function markPicked(root, work) {
  const { key } = picked(work);
  root.querySelectorAll('.line-row').forEach((row) => row.setAttribute('aria-current', String(row.id === key)));
}

function list({ name, rows, note }, open, store) {
  const details = el(
    'details',
    { id: `look-${name}`, open: open.has(name), data: { count: String(rows.length) }, on: { toggle: () => (details.open ? open.add(name) : open.delete(name)) } },
    el('summary', {}, words.look[name], ' ', el('b', {}, count(rows.length))),
    note && el('p', { class: 'quiet' }, note),
    el('ul', { class: 'look-list' }, rows.slice(0, ROWS).map((row, i) => el('li', {}, button(`look-${name}-${i}`, row, store)))),
    rows.length > ROWS && el('p', { class: 'quiet' }, words.more(count(rows.length - ROWS))),
  );
  return details;
}

function button(id, { label, value, under, action }, store) {
  const key = action.type === 'choose-layout' ? { key: id } : {};
  return el(
    'button',
    { type: 'button', id, class: 'line-row', on: { click: () => store.dispatch({ ...action, ...key }) } },
    el('span', {}, label),
    value && el('span', { class: 'line-length' }, value),
    under && el('span', { class: 'line-odd' }, under),
  );
}

/** [{name, note, rows: [{label, value, under, action}]}], in the order they are shown. */
function looks({ layout, findings, joins, model }) {
  const name = (face) => faceName(model.summary, face);
  const between = (join) => texts.ledger.faces((joins[join]?.faces ?? []).map(name));
  // Without a size: near enough to see the place, far enough to see where it is.
  const there = (at, faces, size = null) => ({ point: at, faces, size });
  const atJoin = (join, at, more) => ({ type: 'choose-layout', chain: chainOf(layout, join), spot: at, flight: there(at, joins[join]?.faces ?? []), ...more });
  const stop = ({ at, join, against }) => ({ label: between(join), under: against === null ? null : words.against(name(against)), action: atJoin(join, at) });
  const found = (wanted, unit) =>
    findings
      .filter(({ measure, severity }) => measure === wanted && severity !== 'good')
      .map((finding) => ({ label: texts.ledger.faces(finding.faces.map(name)), value: quantity(finding.value, unit), action: { type: 'choose-finding', finding, flight: flightTo(finding, joins) } }));
  return [
    { name: 'narrow', note: words.lookNote.narrow, rows: found('layout.sliver', 'mm') },
    {
      name: 'tiny',
      note: words.lookNote.tiny(quantity(model.summary.search, 'mm')),
      rows: layout.tiny.map(({ at, face, length }) => ({ label: name(face), value: quantity(length, 'mm'), action: { type: 'choose-layout', face, spot: at, flight: there(at, [face], 0) } })),
    },
    { name: 'stops', note: words.lookNote.stops, rows: layout.breaks.filter(({ inside }) => inside).map(stop) },
    { name: 'ends', note: words.lookNote.ends, rows: layout.breaks.filter(({ inside }) => !inside).map(stop) },
    {
      name: 'corners',
      note: words.lookNote.corners,
      rows: layout.corners.map(({ at, joins: [join], off }) => ({ label: between(join), value: quantity(off[0], 'deg'), action: atJoin(join, at) })),
    },
    { name: 'trimmed', note: words.lookNote.trimmed, rows: found('layout.trim', 'share') },
    { name: 'merges', note: words.lookNote.merges, rows: merges(layout.merges.filter(({ holds }) => holds), name, joins) },
  ];
}

/** Below this, mm, a distance is the last digits of double precision, which nobody needs to read. */
const NOISE = 1e-6;

/** Pairs that one patch could replace, those whose one patch has the fewest spans first, of equals the longest join. */
function merges(all, name, joins) {
  return all
    .toSorted((a, b) => a.spans[0] * a.spans[1] - b.spans[0] * b.spans[1] || (joins[b.join]?.length ?? 0) - (joins[a.join]?.length ?? 0))
    .map(({ faces, join, degree, spans, off }) => {
      const at = joins[join]?.mid;
      return { label: texts.ledger.faces(faces.map(name)), value: off < NOISE ? words.least : quantity(off, 'mm'), under: words.inPlace(words.by(...degree), words.by(...spans)), action: { type: 'choose-join', join, flight: at && { point: at, faces, size: joins[join].length } } };
    });
}
