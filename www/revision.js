// An earlier revision: what became of its findings. Nothing here computes geometry.

/** Part of `work` of the page's state. */
export const REVISION = Object.freeze({ earlier: null }); // {name, record: `revision` of `check --json`, null while it is read, before: the one before while it is read}

export const REVISION_ACTIONS = {
  // What was there before comes back where the next cannot be read.
  'earlier-began': (work, { name }) => ({ ...work, earlier: { name, record: null, before: work.earlier?.record ? work.earlier : (work.earlier?.before ?? null) } }),
  'earlier-known': (work, { record }) => ({ ...work, earlier: record && work.earlier ? { name: work.earlier.name, record, before: null } : work.earlier }),
  'earlier-failed': (work) => ({ ...work, earlier: work.earlier?.before ?? null }),
  'earlier-gone': (work) => ({ ...work, earlier: null }),
};

/** Fates that are told one by one, those that ask for work first; what stayed as it was is counted. */
export const FATES = Object.freeze(['new', 'worse', 'better', 'fixed', 'gone']);

/** The finding that a carried one is shown by: the one of now, or the one that is no more. */
export const shownOf = (carried, findings) => (carried.now === null ? carried.was : (findings[carried.now] ?? null));
