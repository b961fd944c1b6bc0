// Feature lines and corners: which one is chosen.

/** The feature line that the chosen join is part of, or null. */
export function chosenLine({ lines, selection }) {
  const { join } = selection;
  return lines && join !== null && join !== undefined ? (lines.features.find((line) => line.joins.includes(join)) ?? null) : null;
}
