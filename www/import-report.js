// The import report: one line that says how the file was read, which opens to what was mended, shown without its
// boundary, left out, hidden or odd. Nothing is dropped in silence.

import { el } from './dom.js';
import { count, quantity } from './format.js';
import { faceName } from './records.js';
import { texts } from './texts.js';

const words = texts.report;

/** Rows drawn at most in each list; a file with more is listed in full in the check JSON. More rows slow the page down. */
const ROWS = 200;

/** The report of a model's summary as an element; a row that is a face's own flies there. `commands`: readAgain(reading). */
export function importReport(summary, reading, store, commands) {
  const { import: report, unread } = summary;
  const lists = [
    ['untrimmed', report.untrimmed.map((one) => ({ ...one, text: one.reason }))],
    ['unread', unread.map((one) => ({ ...one, face: null, text: one.reason, kind: one.type }))],
    ['repairs', report.repairs],
    ['remarks', report.remarks.map((one) => ({ ...one, face: null }))],
  ].filter(([, rows]) => rows.length > 0);
  const body = lists.map(([name, rows]) => list(name, rows, report, summary, store));
  const summed = lists.map(([name, rows]) => words.sum[name](count(total(name, rows, report))));
  const line = unread.length + report.untrimmed.length > 0 ? summed : [words.whole, ...summed];
  return el(
    'div',
    { class: 'block', id: 'import-report' },
    body.length > 0
      ? el('details', { id: 'report-lists' }, el('summary', { id: 'report-summary' }, line.join(' · ')), body)
      : el('p', { class: 'quiet', id: 'report-summary' }, words.whole),
    hidden(report, reading, commands),
    report.meshes.length > 0 && el('p', { class: 'quiet', id: 'report-mesh' }, words.mesh),
  );
}

/** The doubt about the file's unit with the ways out, or null. */
export function sizeDoubt(summary, reading, commands) {
  const { unit, size_doubt: doubt } = summary.import;
  const chosen = reading.unit !== null;
  if (!doubt && !chosen) return null;
  const read = (name, mm, label) =>
    el('button', { type: 'button', id: `read-in-${name}`, on: { click: () => commands.readAgain({ ...reading, unit: mm }) } }, label);
  return el(
    'section',
    { class: `block doubt${doubt ? '' : ' settled'}`, id: 'size-doubt' },
    el('h3', {}, doubt ? words.doubt : words.unitChosen),
    doubt && el('p', {}, words.doubtText(unitNow(unit), doubtWords(summary, doubt))),
    doubt && doubt.guesses.length === 0 && el('p', { class: 'quiet' }, words.noGuess),
    chosen && el('p', {}, words.asChosen(unit.stated)),
    doubt?.guesses
      .filter((guess) => !(chosen && guess.in_mm === unit.in_mm))
      .map((guess) => read(guess.unit, guess.in_mm, words.readIn(texts.units[guess.unit], quantityOf(guess.diagonal)))),
    chosen && read('stated', null, words.asStated),
  );
}

/** Why the size is doubted, the thin face by its name. */
function doubtWords(summary, { text, face }) {
  return face === null ? text : text.replace(`face ${face} `, () => `${faceName(summary, face)} `);
}

/** What is said of the unit, as "inch, read as mm". */
export function unitText({ unit }) {
  return unit.read_in_mm === null ? unit.stated : words.unitRead(unit.stated, unitNow(unit));
}

/** The unit that the file was read in. */
function unitNow(unit) {
  if (unit.read_in_mm === null) return unit.stated;
  return Object.entries(texts.unitSizes).find(([, mm]) => mm === unit.read_in_mm)?.[0] ?? `${unit.read_in_mm} mm`;
}

function quantityOf(mm) {
  return mm >= 1000 ? quantity(mm / 1000, 'm') : quantity(mm, 'mm');
}

function total(name, rows, report) {
  return name === 'remarks' ? rows.length + report.remarks_dropped : rows.length;
}

function list(name, rows, report, summary, store) {
  const rest = total(name, rows, report) - Math.min(rows.length, ROWS);
  return el(
    'section',
    { class: 'report-list' },
    el('h3', {}, words.lists[name]),
    el('ol', { id: `report-${name}` }, rows.slice(0, ROWS).map((row, i) => el('li', {}, entry(name, row, i, summary, store)))),
    rest > 0 && el('p', { class: 'quiet' }, words.more(count(rest))),
  );
}

/** A row: a button that flies to the face where it has one. */
function entry(name, row, i, summary, store) {
  const where = [
    row.face !== null && faceName(summary, row.face),
    row.kind && soft(row.kind),
    row.id ? `#${row.id}` : null,
    row.line ? words.line(row.line) : null,
  ].filter(Boolean);
  const inside = [
    el('span', { class: 'report-where' }, where.join(' · ')),
    el('span', { class: 'report-text' }, soft(several(row))),
    typeof row.size === 'number' && el('b', { class: 'report-size' }, quantity(row.size, 'mm')),
  ];
  if (row.face === null) return el('div', { class: 'report-row' }, inside);
  const fly = () => store.dispatch({ type: 'choose-face', face: row.face, flight: { face: row.face } });
  return el('button', { type: 'button', class: 'report-row', id: `${name}-${i}`, data: { face: String(row.face) }, on: { click: fly } }, inside);
}

/** What a row tells, and of how many it is the one told of. */
function several({ text, size, count: many }) {
  if (!(many > 1)) return text;
  const which = typeof size === 'number' ? words.largestOf : words.firstOf;
  return `${text} (${which(count(many))})`;
}

function hidden(report, reading, commands) {
  if (reading.hidden) {
    const back = () => commands.readAgain({ ...reading, hidden: false });
    return el('p', { class: 'guess' }, el('span', {}, words.hiddenRead), el('button', { type: 'button', id: 'leave-hidden', on: { click: back } }, words.leaveHidden));
  }
  if (report.hidden_faces === 0) return null;
  const read = () => commands.readAgain({ ...reading, hidden: true });
  return el(
    'p',
    { class: 'guess' },
    el('span', {}, words.hidden(count(report.hidden_faces))),
    el('button', { type: 'button', id: 'read-hidden', on: { click: read } }, words.readHidden),
  );
}

/** Long names may break after an underscore. */
function soft(text) {
  return String(text).replaceAll('_', '_\u200b');
}
