// The card under the ledger: the chosen finding with its judgement, the chosen pin, or the chosen join.

import { el, factList, replace } from './dom.js';
import { point, quantity } from './format.js';
import { chosenEntry } from './entries.js';
import { createJudgement } from './judgement.js';
import { createPinCard } from './pin-card.js';
import { chosenPin } from './pins.js';
import { ORDER_UNIT, faceName, findingKey, flightTo, joinValue, markKey, placePoint, sidesOf } from './records.js';
import { ORDERS } from './protocol.js';
import { texts } from './texts.js';
import { zoneOf } from './zones.js';

const words = texts.card;

/** Units of the absolute jumps. */
const ABSOLUTE = { g2: '1/mm', g3: '1/mm2' };

/** Share of an edge above which nothing of it counts as free: ends of joins are searched for to a tolerance. */
const LEFT_FREE = 0.999;

/** Measures whose values bear on sharp edges and pinch points, and whose remedy does not say so itself. */
const BEARS_ON_SAFETY = /^gap\.(width|flush|parallel)$|^edge\.(trim|flange|line)$|^join\.(position|open)$/;

/** `pins`: createPins(); `trials`: createTrials(). */
export function mountCard(root, store, pins, trials) {
  let judging = null; // {key, root, show} of the chosen finding, kept while it is chosen: what is typed in it outlives other changes
  let pinned = null; // the card of the chosen pin, kept likewise
  store.watch(
    ({ work, review }) => [work.selection, work.findings, work.joins, work.model, work.earlier?.record, work.untried, review.pins, work.zones, review.zones, chosenEntry({ work, review })?.severity],
    (state) => {
      const { selection, findings, joins, model } = state.work;
      const pin = chosenPin(state);
      const finding = pin ? null : findings.find((one) => findingKey(one) === selection.finding);
      const join = pin ? null : joins.find((one) => one.id === selection.join);
      root.hidden = !pin && !finding && !join;
      if (pin) {
        if (pinned?.key === pin.key && root.contains(pinned.root)) return;
        pinned = createPinCard(pin.key, store, pins);
        root.scrollTop = 0;
        return replace(root, pinned.root);
      }
      pinned = null;
      if (!finding) {
        judging = null;
        return replace(root, join ? joinCard(join, state, store) : []);
      }
      const key = `${finding.severity} ${markKey(model.name, finding)}`;
      const fresh = judging?.key !== key;
      if (fresh) judging = { key, ...createJudgement(finding, store) };
      else judging.show();
      if (fresh) root.scrollTop = 0;
      replace(root, findingCard(finding, chosenEntry(state), state, store, judging.root, trials));
    },
  );
  store.watch(
    ({ work, review }) => [review.marks, review.pins, work.pinView, work.model],
    (state) => {
      judging?.show();
      pinned?.show(state);
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

function findingCard(finding, { severity, carried }, state, store, judgement, trials) {
  const { work } = state;
  const [name, usual] = texts.measures[finding.measure] ?? [finding.measure, ''];
  const unit = finding.unit ?? usual;
  const place = placePoint(finding);
  const flight = flightTo(finding, work.joins);
  return [
    title(`${name}: ${texts.severity[severity].toLowerCase()}`, severity, store),
    factList([
      [words.value, quantity(finding.value, unit)],
      [words.before, carried && texts.revision.before(carried.fate, carried.was && quantity(carried.was.value, unit))],
      [words.limit, finding.limit === null ? null : quantity(finding.limit, unit)],
      [words.faces, texts.ledger.faces(finding.faces.map((id) => faceName(work.model.summary, id)))],
      [words.place, place && point(place)],
      [texts.zoning.of, zoneFact(finding.faces, state)],
    ]),
    finding.remedy && el('p', { class: 'remedy' }, el('span', { class: 'label' }, words.remedy), ` ${finding.remedy}`),
    finding.remedy && severity !== 'good' && tryIt(finding, work, trials),
    BEARS_ON_SAFETY.test(finding.measure) && el('p', { class: 'caution' }, texts.overview.safety),
    flight &&
      el(
        'button',
        { type: 'button', id: 'fly', title: 'G', on: { click: () => store.dispatch({ type: 'choose-finding', finding, flight }) } },
        words.fly,
      ),
    judgement,
  ];
}

/** The remedy as a trial; why it cannot be one, once that is known. */
function tryIt(finding, { untried }, trials) {
  const mine = untried?.finding === findingKey(finding) ? untried : null;
  const waits = mine !== null && mine.why === null && !mine.there;
  const said = mine && (mine.there ? texts.trials.there : waits ? texts.trials.looking : texts.trials.not(mine.why));
  return [
    el('div', { class: 'buttons' }, el('button', { type: 'button', id: 'card-try', title: texts.trials.tryHint, 'aria-disabled': waits && 'true', on: { click: () => !waits && trials.remedy(finding) } }, texts.trials.try)),
    mine && el('p', { id: 'card-untried', class: 'quiet' }, said),
  ];
}

/** True where a join leaves some of an edge free: a long edge beside short ones, or edges that lie past each other. */
const unequal = (join) => join.edges.some((edge) => edge.share < LEFT_FREE);

/** The zone of what lies on these patches, where it is not the yardstick's. */
function zoneFact(faces, state) {
  const zone = zoneOf(state, faces);
  return zone === state.review.yardstick ? null : el('span', { id: 'card-zone', data: { zone } }, texts.zones[zone]);
}

function joinCard(join, state, store) {
  const { work } = state;
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
      [texts.zoning.of, zoneFact(join.faces, state)],
      [words.faces, texts.ledger.faces(sidesOf(join, work.model.summary))],
      [words.larger, join.larger !== null && join.larger !== undefined ? name(join.larger) : null],
      [words.edges, unequal(join) ? join.edges.map((edge) => quantity(edge.share, 'share')).join(' / ') : null],
      ...ORDERS.map((order) => [texts.joins[order === 'g3' ? 'g3long' : order], value(order)]),
    ]),
  ];
}
