// Lines drawn over the picture, in plain numbers: from the pointer's way to few points, and from the canvas to the plane they lie in.
// Pure: no page, no renderer. The canvas in CSS pixels, the model in mm.

import { axes } from './underlay-place.js';

/** How far a line may be moved by leaving points out, pixels. More shows as corners. */
const OFF = 0.6;

/** Digits that places are kept with. Fewer show where one looks near; more are noise of the hand. */
const DIGITS = 8;

/** Angles, radians, and share of the distance, by which two cameras may differ and count as one. */
const NEAR = 1e-4;

/** Fewer points along the same way, at most `most`: those are left out that lie nearest to what the others say. */
export function thinned(way, most) {
  let off = OFF;
  let few = along(way, off);
  while (few.length > most) {
    off *= 1.5;
    few = along(way, off);
  }
  return few;
}

/** The points of a way that it needs to stay within `off` of itself (Ramer 1972; Douglas and Peucker 1973). */
function along(way, off) {
  if (way.length < 3) return way;
  const keep = new Set([0, way.length - 1]);
  const open = [[0, way.length - 1]];
  while (open.length > 0) {
    const [from, to] = open.pop();
    let [far, at] = [off, -1];
    for (let i = from + 1; i < to; i += 1) {
      const away = distance(way[i], way[from], way[to]);
      if (away > far) [far, at] = [away, i];
    }
    if (at < 0) continue;
    keep.add(at);
    open.push([from, at], [at, to]);
  }
  return way.filter((_, i) => keep.has(i));
}

/** Distance of a point from a straight piece. */
function distance([x, y], [ax, ay], [bx, by]) {
  const [dx, dy] = [bx - ax, by - ay];
  const length = dx * dx + dy * dy;
  const t = length > 0 ? Math.min(1, Math.max(0, ((x - ax) * dx + (y - ay) * dy) / length)) : 0;
  return Math.hypot(x - ax - t * dx, y - ay - t * dy);
}

/**
 * Takes places of the canvas into the plane through `place` square to the view of `camera`; null where the place is not before the eye.
 * `onScreen`: where points of the model stand on the canvas. In such a plane one scale holds, with perspective too.
 */
export function plane(place, camera, onScreen) {
  const { right, up } = axes(camera);
  const step = camera.distance / 10;
  const [middle, aside] = onScreen([place, place.map((x, k) => x + step * right[k])]);
  if (!middle || !aside) return null;
  const mm = step / (aside[0] - middle[0]);
  if (!Number.isFinite(mm)) return null;
  return ([x, y]) => place.map((p, k) => Number((p + mm * ((x - middle[0]) * right[k] + (middle[1] - y) * up[k])).toPrecision(DIGITS)));
}

/** True where two cameras look the same way, near or far. */
export function sameWay(a, b) {
  const off = Math.abs(a.yaw - b.yaw) % (2 * Math.PI);
  return a.projection === b.projection && Math.min(off, 2 * Math.PI - off) < NEAR && Math.abs(a.pitch - b.pitch) < NEAR;
}

/** True where two cameras stand at the same place too. */
export function sameStand(a, b) {
  const size = NEAR * b.distance;
  return sameWay(a, b) && Math.abs(a.distance - b.distance) < size && Math.hypot(...a.target.map((x, k) => x - b.target[k])) < size;
}
