// Plane sections.

export const sections = {
  sections: {
    title: 'Sections',
    on: 'Cut the model by planes',
    axis: 'Planes square to',
    parts: 'Their normal',
    one: 'A single plane',
    spacing: 'Spacing',
    at: 'Plane at',
    combs: 'Combs on the sections',
    height: 'Height',
    tooth: 'Tooth to tooth',
    said: { mm: (text) => `${text} mm`, height: (x) => `× ${x.toPrecision(2)}` },
    lines: 'Lines',
    length: 'Length of all',
    most: 'Largest curvature',
    inflections: 'Inflections, ringed',
    short: (n) => `Teeth drawn shorter than they are, since small radii would fill the picture: ${n}.`,
    nothing: 'No plane meets the model.',
    waiting: 'Cutting the model…',
    exact: 'Points lie on the surfaces within 10⁻⁶ mm, 0.01 mm or less off the line between them.',
  },
};
