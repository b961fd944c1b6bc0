// The Gaps pass: gaps with what is measured along them, exposed edges, flanges, trimmed edges, and two edges picked.

import { choice, el, replace, tick } from './dom.js';
import { count, quantity } from './format.js';
import { gapPlots } from './gap-plots.js';
import { VALUES, chosenGap, curvesOf, gapFlight, rangeOf } from './gaps.js';
import { mountEdgePair } from './edge-pair.js';
import { faceName, findingKey } from './records.js';
import { texts } from './texts.js';

const words = texts.gaps;

/** Rows of a list at most. */
const ROWS = 12;

/** A curve with fewer inflections that lies nearer to its surface, mm, is not listed. */
const [INFLECTIONS, OFF] = [2, 1e-3];

export function mountGapControls(root, store) {
  const block = (id) => el('div', { class: 'block', id });
  const [list, along, exposed, flanges, trims, pair] = ['gap-list', 'gap-along', 'gap-exposed', 'gap-flanges', 'gap-trims', 'gap-pair'].map(block);
  replace(root, list, along, exposed, flanges, trims, pair, el('p', { class: 'caution' }, texts.overview.safety));
  const fly = (at, faces, size) => store.dispatch({ type: 'choose-face', face: faces[0] ?? null, flight: { point: at, faces, size } });

  store.watch(
    ({ work, review }) => [work.gaps, work.gapView, work.selection, work.findings, work.model, review.making.gap],
    ({ work, review }) => {
      if (!work.gaps) {
        replace(list, work.model && el('p', { class: 'quiet' }, words.waiting));
        [along, exposed, flanges, trims].forEach((one) => replace(one));
        return;
      }
      const chosen = chosenGap(work, findingKey);
      replace(list, el('h3', {}, words.title), gapList(work, chosen, store));
      const gap = work.gaps.between[chosen];
      const options = VALUES.map((value) => ({ id: `gap-value-${value}`, value, label: words.value[value], title: words.long[value] }));
      replace(
        along,
        work.gaps.between.length > 0 && [
          nominalField(work, review, store),
          el('h3', {}, words.colour),
          choice(words.colour, options, work.gapView.value, (value) => store.dispatch({ type: 'set-gap-view', view: { value } }), 'pairs'),
          gap && gapPlots(gap, work.gaps, work.gapView, store),
        ],
      );
    },
  );
  store.watch(
    ({ work }) => [work.gaps, work.gapView.exposed, work.model],
    ({ work }) => {
      if (!work.gaps) return;
      replace(exposed, el('h3', {}, words.exposed), exposedList(work, store, fly));
      replace(flanges, listed(words.flanges, work.gaps.flanges.map((one, i) => flangeRow(one, i, work, fly))));
      const odd = work.gaps.trims.filter(({ inflections, distance }) => inflections >= INFLECTIONS || distance > OFF).toSorted((a, b) => b.distance - a.distance || b.inflections - a.inflections);
      replace(trims, listed(words.trims, odd.map((one, i) => trimRow(one, i, work, fly)), words.trimsHint));
    },
  );
  mountEdgePair(pair, store);
}

function gapList({ gaps, model }, chosen, store) {
  if (gaps.between.length === 0) return el('p', { class: 'quiet' }, words.none);
  const name = (faces) => faces.map((face) => faceName(model.summary, face)).join(', ');
  const row = (gap, i) => {
    const range = rangeOf(curvesOf(gap, 'width')).map((x) => quantity(x, 'mm'));
    const take = () => store.dispatch({ type: 'choose-gap', gap: i === chosen ? null : i, flight: i === chosen ? undefined : gapFlight(gap) });
    return el(
      'li',
      {},
      el(
        'button',
        { type: 'button', id: `gap-${i}`, class: 'line-row', 'aria-pressed': String(i === chosen), data: { length: String(gap.length) }, on: { click: take } },
        el('span', {}, words.name(i + 1)),
        el('span', { class: 'line-length' }, words.range(...range)),
        el('span', { class: 'line-odd' }, [words.edges(...gap.faces.map(name)), quantity(gap.length, 'mm'), gap.closed && words.closed].filter(Boolean).join(' · ')),
      ),
    );
  };
  return [el('p', { class: 'quiet' }, words.hint), el('ul', { class: 'look-list' }, gaps.between.map(row))];
}

function nominalField({ gaps }, { making }, store) {
  const box = el('input', {
    type: 'number',
    min: 0,
    step: 'any',
    id: 'gap-nominal',
    value: String(making.gap ?? gaps.nominal),
    on: { change: () => store.dispatch({ type: 'set-making', making: { gap: box.value !== '' && Number(box.value) >= 0 && Number.isFinite(Number(box.value)) ? Number(box.value) : null } }) },
  });
  return el('div', { class: 'field pair' }, el('label', { for: 'gap-nominal' }, `${words.nominal}, mm`), box);
}

function exposedList({ gaps, gapView, model }, store, fly) {
  if (gaps.exposed.length === 0) return el('p', { class: 'quiet' }, words.exposedNone);
  const row = ({ kind, faces, radius, at, length }, i) =>
    line(`exposed-${i}`, words.kind[kind], quantity(length, 'mm'), [kind === 'tight' ? words.radius(quantity(radius, 'mm')) : words.noRadius, faceName(model.summary, faces[0])].join(' · '), () => fly(at, faces.slice(0, 1), length / 8));
  return [
    el('p', { class: 'quiet' }, words.exposedHint),
    tick('exposed-show', words.exposedShow, gapView.exposed, (exposed) => store.dispatch({ type: 'set-gap-view', view: { exposed } })),
    el('ul', { class: 'look-list' }, gaps.exposed.slice(0, ROWS).map(row)),
    gaps.exposed.length > ROWS && el('p', { class: 'quiet' }, words.more(count(gaps.exposed.length - ROWS))),
  ];
}

const flangeRow = ({ panel, width, angle, radius, at, length }, i, { model }, fly) =>
  line(`flange-${i}`, faceName(model.summary, panel), words.range(...width.map((x) => quantity(x, 'mm'))), words.flange(quantity(angle[0], 'deg'), quantity(radius, 'mm')), () => fly(at, [panel], length / 2));

const trimRow = ({ face, at, distance, inflections, spans }, i, { model }, fly) =>
  line(`trim-${i}`, faceName(model.summary, face), quantity(distance, 'mm'), words.trim(count(inflections), count(spans)), () => fly(at, [face], null));

function line(id, name, value, under, go) {
  return el(
    'li',
    {},
    el('button', { type: 'button', id, class: 'line-row', on: { click: go } }, el('span', {}, name), el('span', { class: 'line-length' }, value), el('span', { class: 'line-odd' }, under)),
  );
}

/** A list that is folded until it is wanted. */
function listed(title, rows, note) {
  if (rows.length === 0) return null;
  return el(
    'details',
    {},
    el('summary', {}, `${title} `, el('b', {}, count(rows.length))),
    note && el('p', { class: 'quiet' }, note),
    el('ul', { class: 'look-list' }, rows.slice(0, ROWS)),
    rows.length > ROWS && el('p', { class: 'quiet' }, words.more(count(rows.length - ROWS))),
  );
}
