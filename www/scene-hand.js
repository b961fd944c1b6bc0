// The net of the patch that is moved by hand, told to the renderer.

/** Points of a net above which its dots are left out: they would cover the patch. */
const DENSE = 900;

/** The net shown and the control point chosen on it, or null. */
export function shownNet({ pass, hand, trialView, selection }) {
  const shown = pass === 'trials' && hand.on && !trialView.before && hand.net !== null && hand.net.face === selection.face;
  return shown ? hand.net : null;
}

/** Flat points of a row along v, or of a column along u. */
const line = ({ points, rows, columns }, index, along) =>
  along === 'v' ? points.slice(3 * index * columns, 3 * (index + 1) * columns) : Array.from({ length: rows }, (_, i) => points.slice(3 * (i * columns + index), 3 * (i * columns + index + 1))).flat();

export function tellHand(viewer, { work }) {
  const net = shownNet(work);
  const lines = net ? [...Array.from({ length: net.rows }, (_, i) => line(net, i, 'v')), ...Array.from({ length: net.columns }, (_, i) => line(net, i, 'u'))] : [];
  viewer.set_layer('hand 1 net', Float64Array.from(lines.flat()), Uint32Array.from(lines, (one) => one.length / 3), { ink: 'dark', width: 1.25, through: true });
  const dots = net && net.points.length < 3 * DENSE ? net.points : [];
  viewer.set_layer('hand 2 points', Float64Array.from(dots), new Uint32Array(dots.length / 3).fill(1), { ink: 'dark', width: 6, through: true });
  const at = net?.at?.point ?? [];
  viewer.set_layer('hand 3 chosen', Float64Array.from(at), new Uint32Array(at.length / 3).fill(1), { ink: 'accent', width: 10, through: true });
}
