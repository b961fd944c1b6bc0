// The Verdict pass: the summary, made of the findings or in the reviewer's words, and the score of each pass with its parts.

import { el, replace } from './dom.js';
import { number } from './format.js';
import { MOST } from './verdict.js';
import { texts } from './texts.js';

const words = texts.verdict;

export function mountVerdict(root, store) {
  const nothing = el('p', { class: 'quiet' });
  const summary = el('div', { class: 'block', id: 'summary' });
  const scores = el('div', { class: 'block', id: 'scores' });
  replace(root, nothing, summary, scores);
  const box = ownWords(store);

  store.watch(
    ({ work, review }) => [work.model, work.verdict, review.verdict.summary],
    ({ work: { model, verdict: found }, review: { verdict } }) => {
      nothing.hidden = Boolean(model && found);
      nothing.textContent = model ? words.waiting : words.nothing;
      summary.hidden = scores.hidden = !model || !found;
      if (!found) return;
      const own = verdict.summary !== null;
      if (own) box.show(verdict.summary);
      replace(summary, el('h3', { id: 'summary-title' }, words.summary), own ? [box.root, again(store)] : [made(found), takeOver(found, store, box)]);
      replace(scores, el('h3', { id: 'scores-title' }, words.scores), table(found, store), notes(found));
    },
  );
}

/** The sentences as the core makes them. */
function made({ summary }) {
  return [
    summary.map(({ of, sentences }) =>
      words.heads[of]
        ? el('div', { data: { of } }, el('h4', {}, el('span', { class: `bar ${of}`, 'aria-hidden': 'true' }), words.heads[of]), el('ul', {}, sentences.map((one) => el('li', {}, one))))
        : el('p', { data: { of } }, sentences.join(' ')),
    ),
    el('p', { class: 'quiet' }, words.made),
  ];
}

/** The same as plain words. */
const asWords = ({ summary }) =>
  summary.map(({ of, sentences }) => (words.heads[of] ? [`${words.heads[of]}:`, ...sentences.map((one) => `- ${one}`)].join('\n') : sentences.join(' '))).join('\n\n');

function takeOver(found, store, box) {
  const click = () => {
    store.dispatch({ type: 'set-summary', summary: asWords(found).slice(0, MOST.summary) });
    box.focus();
  };
  return el('div', { class: 'buttons' }, el('button', { type: 'button', id: 'summary-own', title: words.ownHint, on: { click } }, words.own));
}

function again(store) {
  const click = () => {
    store.dispatch({ type: 'set-summary', summary: null });
    document.getElementById('summary-own')?.focus();
  };
  return el('div', { class: 'buttons' }, el('button', { type: 'button', id: 'summary-again', on: { click } }, words.again));
}

/** The box of own words; what is typed between coming and leaving is one step to undo. */
function ownWords(store) {
  let visits = 0;
  let emptied = false; // all words were taken away: they are let go of when one leaves
  const area = el('textarea', {
    id: 'summary-words',
    rows: 14,
    maxlength: MOST.summary,
    'aria-label': words.words,
    on: {
      focus: () => (visits += 1),
      input: () => {
        emptied = area.value.trim() === '';
        if (!emptied) store.dispatch({ type: 'set-summary', summary: area.value, gesture: `summary ${visits}` });
      },
      blur: () => {
        if (emptied) store.dispatch({ type: 'set-summary', summary: null, gesture: `summary ${visits}` });
        emptied = false;
      },
    },
  });
  return {
    root: el('div', { class: 'check-field' }, area, el('p', { class: 'quiet' }, words.ownNote)),
    show: (text) => document.activeElement !== area && area.value !== text && (area.value = text),
    focus: () => area.focus(),
  };
}

/** Scores; the name of a pass leads to it. */
function table({ passes }, store) {
  const head = el('tr', {}, Object.values(words.columns).map((name) => el('th', { scope: 'col' }, name)));
  const go = (pass) => store.dispatch({ type: 'choose-pass', pass });
  const rows = passes.map(({ pass, title, score, without, points, parts, waived, fixed }) => {
    const said = parts.map(({ count, severity, each, zone }) => words.part(count, words.severity[severity], number(each), words.zone[zone]));
    const sum = parts.length > 0 ? words.sum(said, number(points)) : words.clear;
    const aside = words.aside(waived, fixed);
    return el(
      'tr',
      { data: { pass, score: String(score ?? ''), points: String(points) } },
      el('th', { scope: 'row' }, el('button', { type: 'button', class: 'link', id: `score-${pass}`, title: words.go(title), on: { click: () => go(pass) } }, title)),
      el('td', { class: 'score' }, score === null ? '–' : String(score)),
      el('td', { class: 'score-parts' }, score === null ? without : [sum, aside && el('span', { class: 'quiet' }, ` · ${aside}`)]),
    );
  });
  return el('table', { class: 'scores', 'aria-labelledby': 'scores-title' }, el('thead', {}, head), el('tbody', {}, rows));
}

function notes({ elsewhere, formula }) {
  return [
    elsewhere > 0 && el('p', { class: 'quiet' }, words.elsewhere(elsewhere)),
    el('h4', {}, words.formula),
    el('p', { class: 'quiet', id: 'formula' }, formula),
  ];
}
