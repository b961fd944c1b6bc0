// The sweep between rails: which joins are its rails and sections. Nothing here computes geometry.

/** What a join can be taken for, in the order asked. */
export const RAILS = Object.freeze(['first', 'second', 'start', 'end']);

/** Part of `work` of the page's state; joins by their numbers. */
export const SWEEP = Object.freeze({ sweepView: Object.freeze({ first: [], second: [], start: [], end: [] }) });

export const SWEEP_ACTIONS = {
  // A join is one thing only: taken for another, it is let go of as what it was.
  'sweep-take': (work, { which, join }) => {
    const others = RAILS.map((one) => [one, work.sweepView[one].filter((taken) => taken !== join)]);
    const next = Object.fromEntries(others);
    return { ...work, sweepView: { ...next, [which]: [...next[which], join] } };
  },
  'sweep-drop': (work, { which, join }) => ({ ...work, sweepView: { ...work.sweepView, [which]: work.sweepView[which].filter((taken) => taken !== join) } }),
  'sweep-set': (work, { sides }) => ({ ...work, sweepView: { ...SWEEP.sweepView, ...sides } }),
};

/** True when there is enough for a sweep. */
export const canSweep = ({ first, second, start }) => first.length > 0 && second.length > 0 && start.length > 0;
