// State of the Control rows pass, and its actions.

import { drawnRow, worstRow } from './rows.js';

/** Part of `work` of the page's state. */
export const ROWS = Object.freeze({
  // measure: evenness, agreement or turning; all: nets of all patches are drawn; along, index: the chosen row; view: trace, profile or
  // patches; folded: the drawer shows only its head; magnify: across against along, null for what fits; sight: one looks along the row;
  // at: leg or point under the pointer; sort: {by, down}; whole: the table is shown to its end
  rows: { measure: 'evenness', all: false, along: 'u', index: 0, view: 'trace', folded: false, magnify: null, sight: false, at: null, sort: { by: 'face', down: false }, whole: false },
  rowsFound: null, // {face, patch: false where the face is no spline patch, u, v} of the chosen face; nets_pack.rs
  netsFound: null, // {measure, points, counts, values, left}
  patches: null, // the table of patches
});

/** With another model. */
export const withRowsGone = (work) => ({ ...work, rows: { ...work.rows, sight: false, at: null, whole: false }, rowsFound: null, netsFound: null, patches: null });

const set = (work, rows) => ({ ...work, rows: { ...work.rows, ...rows } });

export const ROWS_ACTIONS = {
  'set-rows': (work, { rows }) => set(work, rows),
  'choose-row': (work, { along, index }) => {
    const count = work.rowsFound?.[along]?.length ?? 0;
    const view = work.rows.view === 'patches' ? 'trace' : work.rows.view;
    return set(work, { along, index: Math.max(0, Math.min(count - 1, index)), at: null, view });
  },
  // Of another face the row that a finding is about, else the worst.
  'rows-found': (work, { face, rows }) => {
    const found = rows ? { ...rows, patch: true } : { face, patch: false, u: [], v: [] };
    const next = { ...work, rowsFound: found };
    const chosen = drawnRow(next) ?? (work.rowsFound?.face === face ? null : worstRow(found, work.rows.measure));
    return set(next, { ...chosen, at: null, sight: work.rows.sight && found.patch });
  },
  'nets-found': (work, { netsFound }) => ({ ...work, netsFound }),
  // null of those that need all they have, or could not be fitted.
  'needs-found': (work, { faces, needs }) => ({
    ...work,
    patches: work.patches?.map((one) => (faces.includes(one.face) ? { ...one, needed: needs.find(({ face }) => face === one.face) ?? null } : one)) ?? null,
  }),
  'patches-found': (work, { patches }) => ({ ...work, patches }),
};
