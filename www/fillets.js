// Fillets: which one is chosen, and what its sections say. Nothing here computes geometry.

import { findingKey } from './records.js';

/** What the sections are plotted by. */
export const FILLET_MEASURES = Object.freeze(['radius', 'balance', 'opening', 'setbacks', 'lead']);

/** Units by measure. */
export const FILLET_UNITS = Object.freeze({ radius: 'mm', balance: 'share', opening: 'deg', setbacks: 'mm', lead: 'share' });

/** Part of `work` of the page's state. */
export const FILLETS = Object.freeze({
  fillets: null, // once the pass has asked for them: {edges, corners}; fillets_pack.rs
  filletView: { measure: 'radius', index: null, of: null, at: null }, // index: picked while the selection is `of`; at: section under the pointer
});

export const FILLET_ACTIONS = {
  'fillets-known': (work, { fillets }) => ({ ...work, fillets }),
  'set-fillet-view': (work, { view }) => ({ ...work, filletView: { ...work.filletView, ...view } }),
  'choose-fillet': (work, { index, flight }) => {
    const face = index === null ? null : work.fillets.edges[index].faces[0];
    const selection = { finding: null, join: null, face };
    const flown = flight ? { ...flight, count: (work.flight?.count ?? 0) + 1 } : work.flight;
    return { ...work, selection, trace: null, station: null, flight: flown, filletView: { ...work.filletView, index, of: selection, at: null } };
  },
};

/** Index of the chosen fillet: the one picked in the list, or that of the chosen face or finding; null where there is none. */
export function chosenFillet(work) {
  const { fillets, filletView, selection, findings, pass } = work;
  if (!fillets || pass !== 'fillets') return null;
  if (filletView.of === selection) return filletView.index;
  const finding = findings.find((one) => findingKey(one) === selection.finding);
  const faces = finding?.faces ?? (selection.face === null || selection.face === undefined ? [] : [selection.face]);
  const i = fillets.edges.findIndex((one) => faces.some((face) => one.faces.includes(face)));
  return i < 0 ? null : i;
}

/** The chosen fillet, or null. */
export const filletOf = (work) => work.fillets?.edges[chosenFillet(work) ?? -1] ?? null;

/** Curves of a fillet by a measure: [{name, values}], a value a section. */
export function filletCurves(fillet, measure) {
  if (measure === 'radius') return [{ name: 'own', values: fillet.radii }, { name: 'side-b', values: fillet.equals }];
  if (measure === 'balance') return [{ name: 'own', values: fillet.balances }];
  if (measure === 'opening') return [{ name: 'own', values: fillet.openings }];
  const sides = measure === 'setbacks' ? fillet.setbacks : fillet.leads;
  return [{ name: 'side-a', values: sides[0] }, { name: 'side-b', values: sides[1] }];
}

/** The worst first: by the share of the limit that the tightest, then the least balanced have. */
export function ranked({ edges }) {
  return edges.map((_, i) => i).toSorted((a, b) => edges[a].radius[0] - edges[b].radius[0] || (edges[a].balance ?? 1) - (edges[b].balance ?? 1));
}

/** Where the camera flies for a fillet: where all of its sections are seen, square to them. */
export const filletFlight = ({ points, toward }) => ({ points, toward });
