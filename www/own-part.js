// What of a review belongs to one model: its judgements, pins, trials and picked patches. On the page those of all models opened lie beside each other; outside
// the page a review has those of its own model only, and judgements go by the keys of findings alone (records.js).

/** Parts that are lists of {key, model}. */
const KEYED = ['pins', 'trials'];

const begins = (name) => `${name}|`;

/** The review with what belongs to a model of that name, and to none. */
export function ownPart(review, name) {
  const marks = Object.entries(review.marks).filter(([key]) => key.startsWith(begins(name)));
  const own = { ...review, marks: Object.fromEntries(marks.map(([key, mark]) => [key.slice(begins(name).length), mark])) };
  if (review.zones) own.zones = { ...review.zones, picked: review.zones.picked.filter(({ model }) => model === name) };
  for (const part of KEYED) if (review[part]) own[part] = review[part].filter(({ model }) => model === name);
  return own;
}

/** An own part as the page has it, on a model of that name, whatever it was called; what belongs to other models stays as it is `now`. */
export function besideOthers(own, name, now) {
  const others = Object.entries(now.marks).filter(([key]) => !key.startsWith(begins(name)));
  const marks = Object.fromEntries([...others, ...Object.entries(own.marks).map(([key, mark]) => [begins(name) + key, mark])]);
  const all = { ...own, marks };
  if (own.zones) {
    const picked = [...own.zones.picked.map((one) => ({ ...one, model: name })), ...now.zones.picked.filter(({ model }) => model !== name)];
    all.zones = { ...own.zones, picked };
  }
  for (const part of KEYED) if (own[part]) all[part] = beside(own[part], name, now[part]);
  return all;
}

/** Numbers of own pins and trials last; of others, those that are taken give way. */
function beside(own, name, now) {
  const taken = new Set(own.map(({ key }) => key));
  let next = Math.max(0, ...[...own, ...now].map(({ key }) => key));
  const others = now.filter(({ model }) => model !== name).map((one) => (taken.has(one.key) ? { ...one, key: ++next } : one));
  return [...own.map((one) => ({ ...one, model: name })), ...others];
}
