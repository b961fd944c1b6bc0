// What the part is made of and how.

export const making = {
  making: {
    title: 'Sheet and tool',
    sheet: 'Sheet thickness, mm',
    inner: 'Its smallest inner radius, mm',
    radius: 'Smallest radius, mm',
    draft: 'Look for undercut along the pull',
    least: 'Least draft, °',
    note: 'What falls short is listed. Empty: not asked.',
  },
};
