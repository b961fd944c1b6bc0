// What of a file was not read: entity id, type, line and why. Nothing is dropped in silence.

import { el } from './dom.js';
import { count } from './format.js';
import { texts } from './texts.js';

const words = texts.unread;

/** Rows drawn at most; a file with more is listed in full in the check JSON. More rows slow the page down. */
const ROWS = 300;

/** The report of a model's summary as an element. */
export function importReport(summary) {
  const unread = summary.unread ?? [];
  if (unread.length === 0) return el('p', { class: 'quiet', id: 'unread' }, words.none);
  const head = [words.entity, words.type, words.line].map((name) => el('th', { scope: 'col' }, name));
  const rows = unread.slice(0, ROWS).map((entry) => [
    el('tr', {}, el('td', {}, `#${entry.id}`), el('td', {}, soft(entry.type)), el('td', {}, String(entry.line ?? '–'))),
    entry.reason && el('tr', { class: 'reason' }, el('td', { colspan: '3' }, entry.reason)),
  ]);
  const rest = unread.length - ROWS;
  return el(
    'details',
    { class: 'block', id: 'unread' },
    el('summary', {}, words.some(unread.length)),
    el('table', { class: 'unread' }, el('thead', {}, el('tr', {}, head)), el('tbody', {}, rows)),
    rest > 0 && el('p', { class: 'quiet' }, words.more(count(rest))),
  );
}

/** Long type names may break after an underscore. */
function soft(name) {
  return String(name).replaceAll('_', '_\u200b');
}
