// The sweep of the Reference pass.

export const sweep = {
  sweep: {
    name: 'the sweep',
    title: 'Sweep between rails',
    hint: 'Choose an edge on the model, then say what it is. The section is carried along both rails: the plain flow to hold the patches between against. Nothing is changed in the model.',
    rails: { first: 'First rail', second: 'Second rail', start: 'Section', end: 'End section' },
    none: 'none yet',
    same: 'the same section',
    edge: (n) => `Edge ${n}`,
    drop: (n) => `Leave edge ${n} out`,
    patch: 'Sides of the chosen patch',
    patchHint: 'Takes the edges along the four sides of a chosen patch: the longer two sides as rails.',
    noSides: 'This face has no four sides of its own with edges along each: pick the rails one by one.',
    make: 'Make the sweep',
    failed: 'These edges make no sweep',
  },
};
