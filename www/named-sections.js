// Named sections: planes that the reviewer keeps, of no model, so that they cut the next revision too. Their state, what changes it, and
// the reading of those that come from outside. A section is {key, name, axis, at: mm from the origin along the axis}.

import { tidyText } from './checklist.js';
import { direction, field, list, number, record, text } from './outside.js';

/** Bounds: sections of a review, characters of a name. */
export const MOST = Object.freeze({ sections: 60, name: 100 });

/** Cut at a time: what is asked meanwhile is answered in between. */
const AT_ONCE = 4;

/** Part of `review` of the page's state. */
export const SECTIONS = Object.freeze({ sections: Object.freeze([]) });

/** Part of `work`: what the cuts come to, by cutKey; named_pack.rs. */
export const SECTIONS_FOUND = Object.freeze({ namedFound: Object.freeze({}) });

export const SECTIONS_WORK = {
  'named-found': (work, { planes, named }) => ({ ...work, namedFound: { ...work.namedFound, ...Object.fromEntries(planes.map((plane, i) => [cutKey(plane), named[i]])) } }),
};

/** Changes to the review; what changes nothing is no step to undo. */
export const SECTIONS_ACTIONS = {
  'keep-section': (review, { section }) => {
    const sections = withSections(review.sections, [section]);
    return sections.length === review.sections.length ? review : { ...review, sections };
  },
  'name-section': (review, { key, name }) => {
    const wanted = tidyName(name);
    const same = review.sections.every((one) => one.key !== key || one.name === wanted);
    return same ? review : { ...review, sections: review.sections.map((one) => (one.key === key ? { ...one, name: wanted } : one)) };
  },
  'delete-section': (review, { key }) => {
    const sections = review.sections.filter((one) => one.key !== key);
    return sections.length === review.sections.length ? review : { ...review, sections };
  },
};

const tidyName = (name) => tidyText(name).slice(0, MOST.name);

/** Which plane a section is, whatever it is called. */
export const cutKey = ({ axis, at }) => [...axis, at].join(' ');

/** Sections with others at the end, as many as there is room for; a plane that is among them stays once. */
export function withSections(sections, others) {
  const all = [...sections];
  let next = Math.max(0, ...sections.map(({ key }) => key)) + 1;
  for (const { name, axis, at } of others) {
    if (all.length < MOST.sections && !all.some((one) => cutKey(one) === cutKey({ axis, at }))) all.push({ key: next++, name: tidyName(name), axis, at });
  }
  return all;
}

/** Planes that are wanted and not cut yet, some of them. */
export function lackingCuts({ work, review }) {
  if (!work.model || work.pass !== 'form') return [];
  return review.sections.filter((one) => !work.namedFound[cutKey(one)]).slice(0, AT_ONCE).map(({ axis, at }) => ({ axis, at }));
}

/** Sound sections out of any JSON value; keys are given anew where not all are told apart by them. */
export function readSections(value, path) {
  const read = list(value, path, 0, MOST.sections).map((entry, i) => {
    const at = `${path}.${i}`;
    record(entry, at);
    const name = tidyName(text(field(entry, 'name') ?? '', `${at}.name`, MOST.name));
    return { key: field(entry, 'key'), name, axis: direction(field(entry, 'axis'), `${at}.axis`), at: number(field(entry, 'at'), `${at}.at`) };
  });
  const keyed = read.every(({ key }) => Number.isInteger(key) && key > 0 && key < 1e9) && new Set(read.map(({ key }) => key)).size === read.length;
  return keyed ? read : read.map((one, i) => ({ ...one, key: i + 1 }));
}
