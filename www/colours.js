// Colour maps. Batlow: Fabio Crameri, Scientific colour maps (MIT licence), 16 of its 256 entries, the renderer's
// table has more. Okabe and Ito, Color Universal Design, 2008.

const BATLOW = [
  '#011959', '#0d335d', '#134a60', '#1f5d60', '#366a57', '#4f7548', '#687f3a', '#828a32',
  '#a19139', '#c09748', '#dd9b59', '#f0a373', '#fbad90', '#fdb7ad', '#fcc3cb', '#faccfa',
];

/** The batlow colour at t from 0 to 1, as stops of a gradient: [{offset, colour}]. */
export function batlowStops() {
  return BATLOW.map((colour, i) => ({ offset: i / (BATLOW.length - 1), colour }));
}
