// Combs over the model.

export const combs = {
  combs: {
    titles: { join: 'Combs on the join', face: 'Combs on the face' },
    ways: { across: 'Across the join', along: 'Along the join', u: 'On curves of constant u', v: 'On curves of constant v', border: 'Along its borders' },
    hints: { join: 'Pick a join to see its combs.', face: 'Pick a face to see its combs.' },
    height: 'Height',
    spacing: 'Tooth to tooth',
    curves: 'Curves',
    said: { height: (x) => `× ${x.toPrecision(2)}`, spacing: (x) => `${x} mm`, curves: (n) => String(n) },
    most: (text) => `largest ${text}`,
    inflections: (n) => (n === 0 ? 'no inflection' : n === 1 ? '1 inflection, ringed' : `${n} inflections, ringed`),
  },
};
