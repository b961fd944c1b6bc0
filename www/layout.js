// What the Layout pass shares: roles with their looks, what is picked, where the camera goes. The geometry comes from the core.

/** Roles in their order. */
export const ROLES = Object.freeze(['primary', 'transition', 'detail']);

/** Colour and hatching of a role on the model: classes of the renderer that no severity has the colour of (blue, yellow, purple). */
const ROLE_CLASS = Object.freeze({ primary: 4, transition: 3, detail: 6 });

/** The renderer's class of each face by its role. */
export const roleClasses = ({ faces }) => Uint8Array.from(faces, ({ role }) => ROLE_CLASS[role]);

/** What was picked in the pass, {chain, spot, key: id of the row it was picked in}; nothing once something else is chosen. */
export function picked({ layoutView, selection }) {
  return layoutView.of === selection ? layoutView : { chain: null, spot: null, key: null };
}

/** The chain that is picked, or that the chosen join is part of: its index, or null. */
export function chosenChain(work) {
  const { layout, selection } = work;
  if (!layout) return null;
  const { chain } = picked(work);
  if (chain !== null) return chain;
  return selection.join === null || selection.join === undefined ? null : chainOf(layout, selection.join);
}

/** Index of the chain with a join in it, or null. */
export function chainOf({ chains }, join) {
  const i = chains.findIndex(({ joins }) => joins.includes(join));
  return i < 0 ? null : i;
}

/** Points where a chain breaks off inside the sheet, [x, y, z] each. */
export const breaksOf = ({ ends }) => ends.filter(({ stop }) => stop !== 'outline' && stop !== 'centre').map(({ at }) => at);

/** Where the camera flies for a chain: its middle point, facing the faces of the join there. */
export function chainFlight(chain, joins) {
  const n = chain.points.length / 3;
  const i = Math.floor(n / 2);
  const middle = joins.find((join) => join.id === chain.joins[Math.floor(chain.joins.length / 2)]);
  return middle ? { point: middle.mid, faces: middle.faces, size: chain.length } : { point: chain.points.slice(3 * i, 3 * i + 3), faces: [], size: chain.length };
}

/** Faces that a face meets, by the map's links. */
export function neighbours({ map }, face) {
  return map.links.filter(({ faces }) => faces.includes(face)).map(({ faces }) => (faces[0] === face ? faces[1] : faces[0]));
}
