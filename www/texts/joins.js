// The Joins pass and the trace.

export const joins = {
  joins: {
    measure: 'Shown on the model',
    g0: 'Gap',
    g1: 'Angle',
    g2: 'Curvature jump',
    g3: 'Slope jump',
    g3long: 'Curvature-slope jump',
    hint: 'Pick a join on the model or in the ledger to see its trace.',
    classes: 'Joins by what they reach',
    none: 'No joins were found.',
    limits: (order, zone, unit) => `Limits of ${order}, ${zone.toLowerCase()}, ${unit}`,
    limitOf: (severity) => `Limit: ${severity.toLowerCase()}`,
    limitsNote: 'Judged again at once; nothing is measured again. The lines in the trace can be dragged, too.',
    usual: 'Back to the usual limits',
  },

  classes: {
    g3: 'G3',
    g2: 'G2',
    g1: 'G1',
    g0: 'G0',
    crease: 'Crease',
    open: 'Open join',
    outline: 'Outline',
    non_manifold: 'Three faces or more',
  },

  mirrorImage: 'its mirror image',

  trace: {
    label: 'Trace along the join',
    limits: 'Limits in the plot',
    title: (id) => `Join ${id}`,
    waiting: 'Measuring along the join…',
    tried: 'With the trials; dashed, as it came. ',
    largest: (text) => `Largest ${text}`,
    table: 'Table',
    sides: 'A and B',
    side: (letter, name) => `${letter}: ${name}`,
    difference: 'A − B',
    sidesOf: { g2: 'curvature across, convex positive', g3: 'its slope' },
    sidesAt: (a, b, difference, unit) => `A ${a}, B ${b}, A − B ${difference} ${unit}`,
    plot: 'Plot',
    close: 'Close',
    plotHint: 'Arrow keys walk along the join, Home and End go to its ends, M to the largest value.',
    at: (s, value) => `at ${s}: ${value}`,
    offScale: (name, text) => `${name} from ${text}, above the plot`,
    missing: 'This measure does not apply here.',
    station: 'Along, mm',
  },
};
