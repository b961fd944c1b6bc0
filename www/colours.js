// The sequential colour map: batlow from Fabio Crameri's Scientific colour maps (MIT licence, copyright 2020 Fabio
// Crameri), every second of the renderer's samples, turned round as there: pale is good, dark is bad.

const BATLOW = [
  '#faccfa', '#fcbfd6', '#fdb4b4', '#fca890', '#f19d6b', '#db954b', '#be9035', '#9f892b', '#828231',
  '#677b3e', '#4d734d', '#356a59', '#226061', '#175262', '#114360', '#0d315d', '#011959',
];

/** The map as stops of a gradient, from good to bad: [{offset, colour}]. */
export function batlowStops() {
  return BATLOW.map((colour, i) => ({ offset: i / (BATLOW.length - 1), colour }));
}
