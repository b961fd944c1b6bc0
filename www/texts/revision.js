// An earlier revision, in the Overview.

export const revision = {
  revision: {
    title: 'Earlier revision',
    open: 'An earlier file…',
    openHint: 'Choose the file that this one came from. It is read in this page and sent nowhere, and judged by the same limits.',
    hint: 'Tells which findings of an earlier file are fixed, which remain, and which are new.',
    reading: (name) => `Reading and judging ${name}…`,
    close: 'Let it go',
    failed: (name) => `${name} could not be compared`,
    since: (name) => `Since ${name}:`,
    nothing: 'nothing found in either',
    counted: {
      new: (n) => `${n} new`,
      worse: (n) => `${n} worse`,
      better: (n) => `${n} better`,
      fixed: (n) => `${n} fixed`,
      gone: (n) => `${n} gone with their faces`,
      same: (n) => `${n} as before`,
    },
    fates: { new: 'New', worse: 'Worse', better: 'Better', fixed: 'Fixed', gone: 'Gone with their faces' },
    from: (before, now) => `${before} → ${now}`,
    more: (n) => `and ${n} more; the check lists all`,
  },
};
