// What the store says of control rows, told to the renderer: nets coloured by a measure, the chosen row, the leg under the pointer.

import { netRows, rowLimits, rowOf, wantedNets } from './rows.js';

/** Layers are drawn by name, so that the net lies on the band under its chosen row. */
const BAND = 'net 1 chosen';
export const NET = 'net 2 legs';
const POINTS = 'net 3 points';
const OWN = 'net 4 own points';
const AT = 'net 5 at';

/** Coordinates in a net from which its dots are smaller, and threefold are left out; coordinates in a row from which its own are. */
const [DOTS, DENSE] = [900, 75];

const limitsOf = (work) => Float64Array.from(rowLimits(work, work.rows.measure), (x) => x ?? NaN);

export function tellRows(viewer, { work }) {
  const shown = work.pass === 'rows' ? netRows(work) : [];
  const row = work.pass === 'rows' ? rowOf(work) : null;
  const counts = (rows) => Uint32Array.from(rows, ({ points }) => points.length / 3);
  const flat = (rows) => Float64Array.from(rows.flatMap(({ points }) => points));
  const rows = shown.map((one) => one.row);
  const values = rows.flatMap((one) => one.colours[work.rows.measure]);
  viewer.set_net(NET, flat(rows), counts(rows), Float64Array.from(values, (x) => x ?? NaN), limitsOf(work), { ink: 'dark', width: 2, through: true });
  const others = rows.filter((one) => one !== row).flatMap(({ points }) => points);
  // Dots of a dense net would cover its colours.
  dots(viewer, POINTS, others.length < 3 * DOTS ? others : [], others.length < DOTS ? 5 : 3.5, 'dark');
  viewer.set_layer(BAND, Float64Array.from(row?.points ?? []), row ? counts([row]) : new Uint32Array(), { ink: 'accent', width: 9, through: true });
  dots(viewer, OWN, row?.points ?? [], (row?.points.length ?? 0) < DENSE ? 8 : 5, 'dark');
  const at = work.rows.at;
  const wide = work.rows.measure === 'turning' ? 1 : 2;
  const marked = row && at !== null ? row.points.slice(3 * at, 3 * (at + wide)) : [];
  viewer.set_layer(AT, Float64Array.from(marked), Uint32Array.from(marked.length > 0 ? [marked.length / 3] : []), { ink: 'second', width: 10, through: true });
}

/** Nets of all patches, hidden by the model where it lies in front. */
export function tellNets(viewer, { work }) {
  const nets = wantedNets(work) && work.netsFound?.measure === work.rows.measure ? work.netsFound : null;
  const none = new Float64Array();
  viewer.set_net('net 0 all', nets?.points ?? none, nets?.counts ?? new Uint32Array(), nets?.values ?? none, limitsOf(work), { ink: 'dark', width: 1.25, through: false });
}

function dots(viewer, name, flat, width, ink) {
  viewer.set_layer(name, Float64Array.from(flat), new Uint32Array(flat.length / 3).fill(1), { ink, width, through: true });
}
