// Where a picture lies in the plane of its view, in plain numbers. Pure: no page, no renderer.
//
// A place on the picture is [i, j], pixels from its upper left corner; `size` is its {width, height} in pixels.
// A place in the plane is [a, b], mm to the right and up from the model's origin as the view sees them: how deep it lies
// makes no difference where the view is parallel.
// A placement is {x, y, width, turn, flip}: the picture's middle in the plane and its width, mm; degrees against the clock;
// left and right exchanged before it is turned.

/** Nearest two places may lie, share of the picture's width: nearer, the hand that picks them is all that is measured. */
const NEAREST = 1e-4;
/** Widths that are taken, mm. */
const WIDTHS = [1e-6, 1e9];

const finite = (...all) => all.every((x) => Number.isFinite(x) && Math.abs(x) <= WIDTHS[1]);

/** True when a placement may be shown. */
export const isSound = ({ x, y, width, turn }) => finite(x, y, width, turn) && width >= WIDTHS[0];

/** Unit vectors to the right and up of a camera {yaw, pitch}, as `Camera::axes` has them. */
export function axes({ yaw, pitch }) {
  const [sy, cy, sp, cp] = [Math.sin(yaw), Math.cos(yaw), Math.sin(pitch), Math.cos(pitch)];
  return { right: [-sy, cy, 0], up: [-sp * cy, -sp * sy, cp] };
}

const along = (axis, point) => axis.reduce((sum, x, i) => sum + x * point[i], 0);

/** A point of the model in the plane. */
export const flat = ({ right, up }, point) => [along(right, point), along(up, point)];

/** mm of one pixel, and the turn as a complex number. */
function spin({ width, turn }, size) {
  const angle = (turn * Math.PI) / 180;
  return { scale: width / size.width, cos: Math.cos(angle), sin: Math.sin(angle) };
}

/** The picture's own axes: pixels from its middle, to the right and up, flipped. */
const local = ({ flip }, size, [i, j]) => [(flip ? -1 : 1) * (i - size.width / 2), size.height / 2 - j];

/** Where a place on the picture lies in the plane. */
export function toPlane(placement, size, place) {
  const { scale, cos, sin } = spin(placement, size);
  const [u, v] = local(placement, size, place);
  return [placement.x + scale * (cos * u - sin * v), placement.y + scale * (sin * u + cos * v)];
}

/** The place on the picture that lies at a place in the plane, on its border or beyond too. */
export function toPicture(placement, size, [a, b]) {
  const { scale, cos, sin } = spin(placement, size);
  const [dx, dy] = [(a - placement.x) / scale, (b - placement.y) / scale];
  const [u, v] = [cos * dx + sin * dy, cos * dy - sin * dx];
  return [(placement.flip ? -u : u) + size.width / 2, size.height / 2 - v];
}

/** How far two places on the picture lie apart, mm. */
export const apart = (placement, size, [p, q]) => (placement.width / size.width) * Math.hypot(p[0] - q[0], p[1] - q[1]);

/** The placement in which two places of the picture are `mm` apart; the first stays where it is. Null where that says nothing. */
export function withDistance(placement, size, marks, mm) {
  const now = apart(placement, size, marks);
  if (!(mm > 0) || !(now > NEAREST * placement.width)) return null;
  const k = mm / now;
  const [a, b] = toPlane(placement, size, marks[0]);
  const next = { x: a + (placement.x - a) * k, y: b + (placement.y - b) * k, width: placement.width * k };
  return isSound({ ...placement, ...next }) ? next : null;
}

/** The placement in which two places of the picture lie at two places of the plane. Null where they are one. */
export function matched(placement, size, marks, ends) {
  const [p, q] = marks.map((mark) => local(placement, size, mark));
  const [from, to] = [[q[0] - p[0], q[1] - p[1]], [ends[1][0] - ends[0][0], ends[1][1] - ends[0][1]]];
  const [pixels, mm] = [Math.hypot(...from), Math.hypot(...to)];
  if (!(pixels > NEAREST * size.width) || !(mm > 0)) return null;
  const turn = ((Math.atan2(to[1], to[0]) - Math.atan2(from[1], from[0])) * 180) / Math.PI;
  const next = { x: 0, y: 0, width: (mm / pixels) * size.width, turn: upright(turn) };
  const [a, b] = toPlane({ ...placement, ...next }, size, marks[0]);
  Object.assign(next, { x: ends[0][0] - a, y: ends[0][1] - b });
  return isSound(next) ? next : null;
}

/** The same turn above −180° and up to 180°. */
export const upright = (turn) => turn - 360 * Math.ceil((turn - 180) / 360);

/** The placement that covers a box [low, high] in a view, the picture upright. */
export function covering([low, high], view, size) {
  const corners = [0, 1, 2, 3, 4, 5, 6, 7].map((n) => flat(axes(view), [0, 1, 2].map((k) => (n & (1 << k) ? high : low)[k])));
  const ends = [0, 1].map((k) => [Math.min(...corners.map((c) => c[k])), Math.max(...corners.map((c) => c[k]))]);
  const [[left, right], [below, above]] = ends;
  const scale = Math.max((right - left) / size.width, (above - below) / size.height) || 1;
  return { x: (left + right) / 2, y: (below + above) / 2, width: scale * size.width, turn: 0, flip: false };
}

/** True when a camera looks as a view does: without perspective, the same way. */
export function looksAlong({ yaw, pitch, projection }, view) {
  const off = Math.abs(yaw - view.yaw) % (2 * Math.PI);
  // Seen from straight above the compass angle still says which way is up.
  return projection === 'orthographic' && Math.min(off, 2 * Math.PI - off) < 1e-6 && Math.abs(pitch - view.pitch) < 1e-6;
}
