// The block of zones in the Overview pass: rules, the chosen patch, painting.

import { choice, el, replace, tick } from './dom.js';
import { count } from './format.js';
import { ZONES } from './protocol.js';
import { faceName } from './records.js';
import { texts } from './texts.js';
import { MOST, RULES_BY, pickedZone, zonesNow } from './zones.js';

const words = texts.zoning;

/** `paint`: createZonePaint(). */
export function mountZones(root, store, paint) {
  root.id = 'zones';
  const [shown, rules, patch, brush] = [0, 1, 2, 3].map(() => el('div', {}));
  replace(root, el('h3', {}, words.title), el('p', { class: 'quiet' }, words.hint), shown, rules, patch, brush);

  store.watch(
    ({ work }) => [work.model],
    ({ work }) => (root.hidden = !work.model),
  );
  store.watch(
    ({ work, review }) => [work.zones, work.model, work.zoneView, review.zones],
    (state) => {
      const counts = [0, 0, 0];
      zonesNow(state).forEach((place) => (counts[place] += 1));
      const data = Object.fromEntries(ZONES.map((zone, i) => [zone, String(counts[i])]));
      const { zoneView } = state.work;
      replace(
        shown,
        el('p', { id: 'zone-tally', data }, words.tally(counts.map(count))),
        tick('zones-shown', words.shown, zoneView.shown || zoneView.paint, (on) => store.dispatch({ type: 'set-zone-view', view: { shown: on, paint: false } })),
      );
    },
  );
  store.watch(
    ({ work, review }) => [review.zones.rules, work.zones, work.model],
    ({ work, review }) => work.model && replace(rules, ruleList(review.zones.rules, work, store)),
  );
  store.watch(
    ({ work, review }) => [work.selection.face, work.model, review.zones.picked],
    (state) => replace(patch, state.work.model && patchChoice(state, store)),
  );
  store.watch(
    ({ work }) => [work.zoneView, work.model, work.graphics],
    ({ work: { zoneView, model } }) =>
      replace(
        brush,
        model && [
          el('h4', {}, words.paintTitle),
          zoneChoice('zone-as', words.paintTitle, zoneView.as, (as) => store.dispatch({ type: 'set-zone-view', view: { as } })),
          el('div', { class: 'buttons' }, el('button', { type: 'button', id: 'zone-paint', 'aria-pressed': String(zoneView.paint), on: { click: () => paint.turn(!zoneView.paint) } }, words.paint)),
        ],
      ),
  );
}

/** Buttons for the three zones and for none of its own. */
function zoneChoice(id, label, chosen, take) {
  const options = [null, ...ZONES].map((zone) => ({ id: `${id}-${zone ?? 'rest'}`, value: zone, label: zone ? texts.zones[zone] : words.rest }));
  return choice(label, options, chosen, take, 'grid');
}

function patchChoice(state, store) {
  const { model, selection } = state.work;
  const { face } = selection;
  if (face === null || face === undefined) return [el('h4', {}, words.patch), el('p', { class: 'quiet' }, words.noPatch)];
  const name = faceName(model.summary, face);
  const take = (zone) =>
    store.dispatch({ type: 'pick-zone', model: model.name, face, zone, say: words.painted(name, zone ? texts.zones[zone] : words.rest) });
  return [el('h4', {}, words.patch), el('p', { id: 'zone-patch' }, name), zoneChoice('zone-face', name, pickedZone(state, face), take)];
}

function ruleList(rules, { zones, model }, store) {
  return [
    el('h4', {}, words.rules),
    el('ol', { class: 'zone-rules' }, rules.map((rule, i) => ruleRow(rule, i, zones?.fits[i], model.summary, store))),
    rules.length < MOST.rules &&
      el('div', { class: 'buttons' }, el('button', { type: 'button', id: 'zone-rule-add', on: { click: () => added(rules.length, model.summary, store) } }, words.add)),
  ];
}

function added(at, { traits }, store) {
  const by = traits.layers.length > 0 ? 'layer' : traits.colours.length > 0 ? 'colour' : 'name';
  store.dispatch({ type: 'add-zone-rule', rule: { by, is: '', zone: 'hidden' } });
  document.getElementById(`zone-rule-${at}-is`)?.focus();
}

function ruleRow({ by, is, zone }, i, fits, summary, store) {
  const n = i + 1;
  const set = (change) => store.dispatch({ type: 'set-zone-rule', at: i, change });
  const id = (part) => `zone-rule-${i}-${part}`;
  const known = { layer: summary.traits.layers, colour: summary.traits.colours }[by];
  const pick = (part, label, options, chosen, take) => {
    const list = el(
      'select',
      { id: id(part), 'aria-label': label, on: { change: () => take(list.value) } },
      options.map(([value, text]) => el('option', { value, selected: value === chosen }, text)),
    );
    return list;
  };
  const others = known && is !== '' && !known.includes(is) ? [is] : [];
  const which = known
    ? pick('is', words.ruleIs(n, words.by[by]), [['', words.choose[by]], ...[...others, ...known].map((one) => [one, one])], is, (value) => set({ is: value }))
    : nameBox(id('is'), words.ruleIs(n, words.by[by]), is, (value) => set({ is: value }));
  return el(
    'li',
    {},
    pick('by', words.ruleBy(n), RULES_BY.map((one) => [one, words.by[one]]), by, (value) => set({ by: value, is: '' })),
    which,
    pick('zone', words.ruleZone(n), ZONES.map((one) => [one, texts.zones[one]]), zone, (value) => set({ zone: value })),
    el('div', { class: 'buttons' }, el('button', { type: 'button', id: id('drop'), 'aria-label': words.dropRule(n), on: { click: () => dropped(i, store) } }, words.drop)),
    el('span', { class: 'quiet', id: id('fits') }, is === '' || fits === undefined ? '' : words.fits(fits)),
  );
}

function nameBox(id, label, is, take) {
  const box = el('input', { type: 'text', id, 'aria-label': label, maxlength: MOST.is, placeholder: words.nameHint, value: is, on: { change: () => take(box.value) } });
  return box;
}

/** The focus goes on to the rule that comes up, or to the button below. */
function dropped(at, store) {
  store.dispatch({ type: 'drop-zone-rule', at });
  (document.getElementById(`zone-rule-${at}-drop`) ?? document.getElementById('zone-rule-add'))?.focus();
}
