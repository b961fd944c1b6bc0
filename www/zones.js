// Zones of patches: which limits each is held to. `review.zones` has rules on what the file says of patches, the first that fits counts,
// and patches picked one by one, which no rule moves; the rest are held to the yardstick. Their state, what changes it, and its reading.

import { field, list, oneOf, record, refuse, text, whole } from './outside.js';
import { ZONES } from './protocol.js';
import { texts } from './texts.js';

/** Bounds: rules of a review, characters of a layer, colour or name, picked patches of all models, characters of a model's name. */
export const MOST = Object.freeze({ rules: 100, is: 300, picked: 50000, model: 300 });

/** What a rule goes by, as the core names it. */
export const RULES_BY = Object.freeze(['layer', 'colour', 'name']);

/** Part of `review`. rules: [{by, is, zone}]; picked: [{model: file name, face, zone}]. */
export const ZONING = Object.freeze({ zones: Object.freeze({ rules: Object.freeze([]), picked: Object.freeze([]) }) });

/** Part of `work`. zones: {rest: zone of each patch as rules say, by its place in ZONES, fits: patches that each rule counts for}; zoneView:
 * shown on the model, paint: a drag over the model puts patches into the zone `as`, null for none of their own. */
export const ZONING_VIEW = Object.freeze({ zones: null, zoneView: Object.freeze({ shown: false, paint: false, as: 'hidden' }) });

export const ZONING_WORK = {
  'set-zone-view': (work, { view }) => ({ ...work, zoneView: { ...work.zoneView, ...view } }),
};

/** Changes to the review; what changes nothing is no step to undo. */
export const ZONING_ACTIONS = {
  'add-zone-rule': (review, { rule }) => (review.zones.rules.length < MOST.rules ? withRules(review, [...review.zones.rules, rule]) : review),
  'set-zone-rule': (review, { at, change }) => {
    const now = { ...review.zones.rules[at], ...change };
    const rule = { ...now, is: now.is.slice(0, MOST.is) };
    return JSON.stringify(rule) === JSON.stringify(review.zones.rules[at]) ? review : withRules(review, review.zones.rules.with(at, rule));
  },
  'drop-zone-rule': (review, { at }) => withRules(review, review.zones.rules.toSpliced(at, 1)),
  /** A patch of a model into a zone; null: as the rest. */
  'pick-zone': (review, { model, face, zone }) => {
    const { picked } = review.zones;
    const at = picked.findIndex((one) => one.face === face && one.model === model);
    if ((picked[at]?.zone ?? null) === zone || (at < 0 && picked.length >= MOST.picked)) return review;
    const others = at < 0 ? picked : picked.toSpliced(at, 1);
    return { ...review, zones: { ...review.zones, picked: zone ? [...others, { model, face, zone }] : others } };
  },
};

const withRules = (review, rules) => ({ ...review, zones: { ...review.zones, rules } });

/** What the worker grades a model of that name by. */
export const zoneWish = ({ zones: { rules, picked } }, name) => ({
  rules,
  picked: picked.filter(({ model }) => model === name).map(({ face, zone }) => [face, zone]),
});

/** The zone picked for a patch of the open model, or null. */
export const pickedZone = ({ work, review }, face) => review.zones.picked.find((one) => one.face === face && one.model === work.model?.name)?.zone ?? null;

/** The place in ZONES of each patch's zone; what was picked counts at once, rules when the worker has told. Empty before that. */
export function zonesNow({ work, review }) {
  const all = Uint8Array.from(work.zones?.rest ?? []);
  for (const { model, face, zone } of review.zones.picked) if (model === work.model?.name && face < all.length) all[face] = ZONES.indexOf(zone);
  return all;
}

/** The zone that what lies on these patches is held to: the most visible one of theirs. */
export function zoneOf(state, faces) {
  const all = zonesNow(state);
  const places = faces.map((face) => all[face]).filter((place) => place !== undefined);
  return places.length > 0 ? ZONES[Math.min(...places)] : state.review.yardstick;
}

/** True while patches are coloured by their zones. */
export const zonesShown = ({ pass, model, zones, zoneView }) => Boolean(pass === 'overview' && model && zones && (zoneView.shown || zoneView.paint));

/** Looks of zones on the model, those of the patches' roles: a class of the renderer, and that of the style sheet. */
export const ZONE_LOOKS = Object.freeze([
  { place: 4, look: 'primary' },
  { place: 3, look: 'transition' },
  { place: 6, look: 'detail' },
]);

export const zoneClasses = (state) => zonesNow(state).map((place) => ZONE_LOOKS[place].place);

/** Sound zones out of any JSON value. A picked patch belongs to the model of its review whatever that is called. */
export function readZones(value, path) {
  record(value, path);
  const rules = list(field(value, 'rules') ?? [], `${path}.rules`, 0, MOST.rules).map((one, i) => readRule(one, `${path}.rules.${i}`));
  const picked = list(field(value, 'picked') ?? [], `${path}.picked`, 0, MOST.picked).map((one, i) => readPicked(one, `${path}.picked.${i}`));
  const faces = picked.map(({ face }) => face);
  const seen = new Set();
  const twice = faces.findIndex((face) => seen.has(face) || !seen.add(face));
  if (twice >= 0) refuse(`${path}.picked.${twice}`, texts.zoning.twice);
  return { rules, picked };
}

function readRule(value, path) {
  record(value, path);
  return {
    by: oneOf(field(value, 'by'), `${path}.by`, RULES_BY),
    is: text(field(value, 'is'), `${path}.is`, MOST.is),
    zone: oneOf(field(value, 'zone'), `${path}.zone`, ZONES),
  };
}

function readPicked(value, path) {
  record(value, path);
  return {
    model: text(field(value, 'model') ?? '', `${path}.model`, MOST.model),
    face: whole(field(value, 'face'), `${path}.face`, 0, 2 ** 32 - 1),
    zone: oneOf(field(value, 'zone'), `${path}.zone`, ZONES),
  };
}
