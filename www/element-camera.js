// Where an element looks from: a name, or numbers as text. yaw, pitch: degrees, the compass angle of the eye from +x towards +y and its height
// angle; distance: mm from the eye to the point x, y, z (mm) that is looked at; parallel or perspective. Records are those of review files,
// in radians.

import { VIEWS } from './camera-input.js';

const DEGREE = Math.PI / 180;

/** Names that an element knows, in their order. */
export const NAMES = ['home', ...VIEWS.filter((name) => name !== 'corner')];

/** {name} or {camera}, out of an attribute's text or a record; null where it is neither. */
export function readView(given) {
  if (typeof given === 'object' && given !== null) return sound(given);
  const text = String(given ?? '').trim().toLowerCase();
  if (text === 'corner' || NAMES.includes(text)) return { name: text === 'home' ? 'corner' : text };
  const [yaw, pitch, distance, x, y, z, way = 'perspective'] = text.split(',').map((part) => part.trim());
  const numbers = [yaw, pitch, distance, x, y, z].map((part) => (part ? Number(part) : NaN));
  if (!['parallel', 'perspective'].includes(way)) return null;
  return sound({
    yaw: numbers[0] * DEGREE,
    pitch: numbers[1] * DEGREE,
    distance: numbers[2],
    target: numbers.slice(3),
    projection: way === 'parallel' ? 'orthographic' : 'perspective',
  });
}

function sound({ yaw, pitch, distance, target, projection }) {
  const numbers = [yaw, pitch, distance, ...(Array.isArray(target) && target.length === 3 ? target : [NaN])];
  if (!numbers.every(Number.isFinite) || distance <= 0) return null;
  // The renderer asks for a frame's size, and keeps its own.
  return { camera: { yaw, pitch: Math.max(-Math.PI / 2, Math.min(Math.PI / 2, pitch)), distance, target: [...target], projection: projection === 'orthographic' ? projection : 'perspective', width: 1, height: 1 } };
}

/** The text that stands for a camera. */
export function viewText({ yaw, pitch, distance, target, projection }) {
  const digits = (x, n) => String(Number(x.toFixed(n)));
  const numbers = [digits(yaw / DEGREE, 3), digits(pitch / DEGREE, 3), ...[distance, ...target].map((x) => digits(x, 3))];
  return [...numbers, projection === 'orthographic' ? 'parallel' : 'perspective'].join(',');
}
