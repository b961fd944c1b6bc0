// Feature lines and corners.

export const lines = {
  lines: {
    title: 'Feature lines',
    none: 'No crease and no rounded line was found.',
    hint: 'Creases and rounded lines, the longest first. Pick one here or on the model.',
    kinds: { crease: 'Crease', transition: 'Rounded line' },
    name: (kind, i) => `${kind} ${i}`,
    length: 'Length',
    angles: 'Angle along it',
    range: (low, high) => `${low} to ${high}`,
    flips: 'Changes of sign',
    fades: 'Fades out',
    plan: 'Inflections in plan, ringed',
    side: 'Inflections from the side, ringed',
    plot: 'Angle along the line, convex above zero',
    corners: 'Show the corners',
    cornerCount: (n) => (n === 1 ? '1 place where three or more patches meet.' : `${n} places where three or more patches meet.`),
    cornerWorst: (text) => `Normals spread by ${text} at most.`,
  },
};
