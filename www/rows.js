// Control rows: which ones are wanted, chosen and drawn, from what the worker has found. Nothing here computes geometry.

import { findingKey } from './records.js';

export const ROW_MEASURES = Object.freeze(['evenness', 'agreement', 'turning']);

const has = (id) => id !== null && id !== undefined;

/** The face whose rows are wanted, or null. */
export function wantedRows({ pass, model, selection }) {
  return pass === 'rows' && model && has(selection.face) ? selection.face : null;
}

/** The measure that all nets are wanted by, or null. */
export function wantedNets({ pass, model, rows }) {
  return pass === 'rows' && model && rows.all ? rows.measure : null;
}

/** Rows of the chosen face, or null while they are not known. */
export function rowsOf(work) {
  const face = wantedRows(work);
  return face !== null && work.rowsFound?.face === face && work.rowsFound.patch ? work.rowsFound : null;
}

/** The chosen row, or null. */
export function rowOf(work) {
  return rowsOf(work)?.[work.rows.along][work.rows.index] ?? null;
}

/** Rows that are drawn, [{along, index, row}]: all of the chosen face, or while one is sighted along those of its direction. */
export function netRows(work) {
  const found = rowsOf(work);
  const ways = work.rows.sight ? [work.rows.along] : ['u', 'v'];
  return found ? ways.flatMap((along) => found[along].map((row, index) => ({ along, index, row }))) : [];
}

/** {along, index} of the drawn row of that number, or null. */
export function rowAt(work, number) {
  const one = number === undefined || work.centre.picks ? null : netRows(work)[number];
  return one ? { along: one.along, index: one.index } : null;
}

/** Limits of a measure as last graded by: [polish, fix, serious]. */
export function rowLimits({ limits }, measure) {
  return limits?.[measure]?.limits ?? [null, null, null];
}

/** The severity of a value under such limits, or null. */
export function severityOf(value, limits) {
  const passed = (i) => Number.isFinite(limits[i]) && Number.isFinite(value) && value > limits[i];
  return passed(2) ? 'serious' : passed(1) ? 'fix' : passed(0) ? 'polish' : null;
}

/** {along, index} of the worst row by a measure; the first of equals. */
export function worstRow(found, measure) {
  let worst = { along: 'u', index: 0, value: -1 };
  for (const along of ['u', 'v']) {
    found[along].forEach((row, index) => {
      if ((row[measure] ?? -1) > worst.value) worst = { along, index, value: row[measure] };
    });
  }
  return { along: worst.along, index: worst.index };
}

/** {along, index} of the row that the chosen finding is drawn by, the last of its lines; null where that is no row of the face. */
export function drawnRow({ findings, selection, rowsFound }) {
  const drawn = findings.find((one) => findingKey(one) === selection.finding)?.drawn?.at(-1);
  if (!drawn || !rowsFound) return null;
  const same = (row) => row.points.length === drawn.length && row.points.every((x, i) => x === drawn[i]);
  for (const along of ['u', 'v']) {
    const index = rowsFound[along].findIndex(same);
    if (index >= 0) return { along, index };
  }
  return null;
}

/** Faces that are asked for what they need in one message: more keep the worker from answering what is asked meanwhile. */
const NEEDS = 12;

/** Ids of the next patches of which it is not known what they need. */
export function lackingNeeds({ pass, patches }) {
  return pass === 'rows' ? (patches ?? []).filter((one) => one.needed === undefined).slice(0, NEEDS).map(({ face }) => face) : [];
}

/** Ids of the spline patches in the order of the table. */
export function patchIds({ patches }) {
  return (patches ?? []).map(({ face }) => face);
}
