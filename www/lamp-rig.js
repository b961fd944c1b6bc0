// The lamp rig's numbers: what they are, their ranges, rigs that are set up already, and what the renderer is told of them.
//
// azimuth, elevation: direction to the lamps, degrees, from +x towards +y and from the xy plane upwards.
// turn: of the lamps about that direction, degrees; 0 sets them side by side on one level.
// spacing: from lamp to lamp, model sizes · count: lamps · reach: distance of the lamp plane, model sizes.
// step: from isophote to isophote, degrees · width: lit share of the spacing or step, 0 to 1.
// A model's size is the diagonal of its box, so that a rig means the same for every model.

import { fields, number, oneOf, whole } from './outside.js';

/** Families of stripes. */
export const FAMILIES = Object.freeze(['none', 'isophote', 'highlight', 'reflection']);

/** Outside these ranges stripes are finer than a pixel, or one covers the whole model. `decimals` are kept of what is dragged. */
export const FIELDS = [
  { name: 'azimuth', min: -180, max: 180, step: 1, decimals: 2 },
  { name: 'elevation', min: -90, max: 90, step: 1, decimals: 2 },
  { name: 'turn', min: -180, max: 180, step: 1, decimals: 2, of: 'lamps' },
  { name: 'spacing', min: 0.01, max: 1, step: 0.01, decimals: 4, of: 'lamps' },
  { name: 'step', min: 1, max: 30, step: 0.5, decimals: 2, of: 'isophotes' },
  { name: 'count', min: 1, max: 240, step: 1, decimals: 0, of: 'lamps' },
  { name: 'width', min: 0.05, max: 0.95, step: 0.05, decimals: 2 },
  { name: 'reach', min: 0.2, max: 10, step: 0.1, decimals: 3, of: 'lamps' },
];

/**
 * Rigs to begin with. The long room's lamps reach five model sizes to each side: fewer leave level parts unlit, since
 * mirrored sight lines of a level part run far aside before they meet the lamps.
 */
export const PRESETS = Object.freeze({
  room: { azimuth: 35, elevation: 60, turn: 0, spacing: 0.08, step: 7.5, count: 125, width: 0.5, reach: 1 },
  tube: { azimuth: 35, elevation: 60, turn: 0, spacing: 0.4, step: 24, count: 1, width: 0.15, reach: 1 },
  overhead: { azimuth: 0, elevation: 85, turn: 0, spacing: 0.12, step: 10, count: 101, width: 0.4, reach: 1.5 },
  sun: { azimuth: 35, elevation: 8, turn: 0, spacing: 0.05, step: 3, count: 240, width: 0.3, reach: 3 },
});

/** True where a field has a say in a family of stripes. */
export function counts(field, family) {
  return !field.of || (field.of === 'isophotes') === (family === 'isophote');
}

/** The preset that a rig is, or null. */
export function presetOf(lamps) {
  const same = ([, preset]) => Object.entries(preset).every(([name, value]) => lamps[name] === value);
  return Object.entries(PRESETS).find(same)?.[0] ?? null;
}

/** Numbers that were dragged, rounded so that the fields stay readable, and in their ranges. */
export function tidy(lamps) {
  const round = ({ min, max, decimals, name }) => [name, Math.min(max, Math.max(min, Number(lamps[name].toFixed(decimals))))];
  return Object.fromEntries(FIELDS.filter(({ name }) => name in lamps).map(round));
}

/** An angle brought between −180 and 180 degrees. */
export function wrapped(degrees) {
  return 180 - ((((180 - degrees) % 360) + 360) % 360);
}

/** What the renderer is told: lengths in mm for a model of `size` mm, `family` of stripes. */
export function settings({ azimuth, elevation, turn, spacing, step, count, width, reach }, family, size) {
  const [a, e] = [azimuth, elevation].map((degrees) => (degrees * Math.PI) / 180);
  return {
    family,
    direction: [Math.cos(e) * Math.cos(a), Math.cos(e) * Math.sin(a), Math.sin(e)],
    turn,
    count,
    spacing: family === 'isophote' ? (step * Math.PI) / 180 : spacing * size,
    width,
    distance: reach * size,
  };
}

/** A rig and its family of stripes, out of any JSON value. */
export function readLamps(value, path, usual) {
  const within = ({ name, min, max, decimals }) => [name, (x, at) => (decimals === 0 ? whole : number)(x, at, min, max)];
  return fields(value, path, usual, { family: (one, at) => oneOf(one, at, FAMILIES), ...Object.fromEntries(FIELDS.map(within)) });
}
