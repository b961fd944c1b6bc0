// The card under the ledger: the chosen finding with its judgement, or the chosen join.

import { choice, el, factList, replace } from './dom.js';
import { point, quantity } from './format.js';
import { flightTo } from './ledger.js';
import { ORDER_UNIT, faceName, findingKey, joinValue, markKey, markOf, placePoint, sidesOf } from './records.js';
import { ORDERS } from './protocol.js';
import { texts } from './texts.js';

const words = texts.card;

/** Units of the absolute jumps. */
const ABSOLUTE = { g2: '1/mm', g3: '1/mm2' };

/** Share of an edge above which nothing of it counts as free: ends of joins are searched for to a tolerance. */
const LEFT_FREE = 0.999;

/** Measures whose values bear on sharp edges and pinch points, and whose remedy does not say so itself. */
const BEARS_ON_SAFETY = /^gap\.(width|flush|parallel)$|^edge\.(trim|flange|line)$|^join\.(position|open)$/;

export function mountCard(root, store) {
  store.watch(
    ({ work, review }) => [work.selection, work.findings, work.joins, review.marks],
    (state) => {
      const { selection, findings, joins } = state.work;
      const finding = findings.find((one) => findingKey(one) === selection.finding);
      const join = joins.find((one) => one.id === selection.join);
      root.hidden = !finding && !join;
      replace(root, finding ? findingCard(finding, state, store) : join ? joinCard(join, state, store) : []);
    },
  );
}

function title(text, severity, store) {
  return el(
    'div',
    { class: 'card-title' },
    severity && el('span', { class: `bar ${severity}`, 'aria-hidden': 'true' }),
    el('h3', {}, text),
    el('button', { type: 'button', id: 'card-close', on: { click: () => store.dispatch({ type: 'choose-nothing' }) } }, words.close),
  );
}

function findingCard(finding, { work, review }, store) {
  const [name, usual] = texts.measures[finding.measure] ?? [finding.measure, ''];
  const unit = finding.unit ?? usual;
  const place = placePoint(finding);
  const flight = flightTo(finding, work.joins);
  return [
    title(`${name}: ${texts.severity[finding.severity].toLowerCase()}`, finding.severity, store),
    factList([
      [words.value, quantity(finding.value, unit)],
      [words.limit, finding.limit === null ? null : quantity(finding.limit, unit)],
      [words.faces, texts.ledger.faces(finding.faces.map((id) => faceName(work.model.summary, id)))],
      [words.place, place && point(place)],
    ]),
    finding.remedy && el('p', { class: 'remedy' }, el('span', { class: 'label' }, words.remedy), ` ${finding.remedy}`),
    BEARS_ON_SAFETY.test(finding.measure) && el('p', { class: 'caution' }, texts.overview.safety),
    finding.severity !== 'good' && judgement(finding, work, review, store),
    flight &&
      el(
        'button',
        { type: 'button', id: 'fly', on: { click: () => store.dispatch({ type: 'choose-finding', finding, flight }) } },
        words.fly,
      ),
  ];
}

/** Open, agreed or overruled; overruling asks for a reason. */
function judgement(finding, work, review, store) {
  const mark = markOf(review.marks, work.model.name, finding);
  const key = markKey(work.model.name, finding);
  const set = (next) => store.dispatch({ type: 'mark-finding', key, mark: { ...mark, ...next } });
  const options = ['open', 'agreed', 'overruled'].map((state) => ({ id: `mark-${state}`, value: state, label: words[state] }));
  const reason = el('input', {
    type: 'text',
    id: 'mark-reason',
    value: mark.reason,
    maxlength: '500',
    placeholder: words.reasonHint,
    on: { change: () => set({ reason: reason.value }) },
  });
  return el(
    'div',
    { class: 'judgement' },
    choice(words.mark, options, mark.state, (state) => set({ state, reason: state === 'overruled' ? mark.reason : '' })),
    mark.state === 'overruled' && el('label', { class: 'reason' }, `${words.reason} `, reason),
  );
}

/** True where a join leaves some of an edge free: a long edge beside short ones, or edges that lie past each other. */
const unequal = (join) => join.edges.some((edge) => edge.share < LEFT_FREE);

function joinCard(join, { work }, store) {
  const name = (id) => faceName(work.model.summary, id);
  const value = (order) => {
    const max = joinValue(join, order);
    if (max === null) return '–';
    const shown = quantity(max, ORDER_UNIT[order]);
    return ORDER_UNIT[order] === 'share' ? `${quantity(join[order].max, ABSOLUTE[order])} (${shown})` : shown;
  };
  return [
    title(texts.ledger.join(join.id), null, store),
    factList([
      [words.reached, texts.classes[join.class] ?? join.class],
      [words.required, texts.classes[join.required] ?? join.required],
      [words.length, quantity(join.length, 'mm')],
      [words.faces, texts.ledger.faces(sidesOf(join, work.model.summary))],
      [words.larger, join.larger !== null && join.larger !== undefined ? name(join.larger) : null],
      [words.edges, unequal(join) ? join.edges.map((edge) => quantity(edge.share, 'share')).join(' / ') : null],
      ...ORDERS.map((order) => [texts.joins[order === 'g3' ? 'g3long' : order], value(order)]),
    ]),
  ];
}
