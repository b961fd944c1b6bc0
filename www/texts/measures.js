// Measures where they are found wanting, and how bad it is.

export const measures = {
  // Measure id → [name where it is found wanting, unit, pass]: the core's own (core/src/finding/measure_id.rs), learned when the
  // module is there, which is before anything is found.
  measures: {},

  severity: { serious: 'Serious', fix: 'Fix', polish: 'Polish', good: 'Good', note: 'Note' },
};

/** Takes the core's words for its measures: [id, name, unit, pass] of each. */
export function learnMeasures(all) {
  for (const [id, ...words] of all) measures.measures[id] = words;
}
