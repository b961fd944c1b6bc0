// Whether the page works without a network, and whether a newer version of it waits: their state.

/** Part of `work`. where: none | coming | ready | newer; shown: the slip about a newer version; others: how many tabs are in its way. */
export const OFFLINE = Object.freeze({ offline: { where: 'none', shown: false, others: 0 } });

export const OFFLINE_WORK = {
  'set-offline': (work, { offline }) => ({ ...work, offline: { ...work.offline, ...offline } }),
};
