// The search distance of joins.

export const search = {
  search: {
    title: 'Search distance',
    distance: 'Up to, mm',
    usual: 'Back to the usual distance',
    note: (used) => `Borders up to ${used} apart were taken for joins. Another distance looks for them anew; you can cancel that.`,
  },
};
