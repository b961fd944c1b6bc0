// Numbers as text. Values come in the units of the core: mm, degrees, 1/mm, 1/mm², shares with 1 for the whole.

const SUPERSCRIPT = { '-': '⁻', 0: '⁰', 1: '¹', 2: '²', 3: '³', 4: '⁴', 5: '⁵', 6: '⁶', 7: '⁷', 8: '⁸', 9: '⁹' };

const UNITS = { deg: '°', '1/mm2': ' 1/mm²', mm2: ' mm²', '': '' };

/** Three significant digits; very small or large numbers as a power of ten. */
export function number(value) {
  if (value === null || value === undefined || Number.isNaN(value)) return '–';
  if (value === 0) return '0';
  const size = Math.abs(value);
  if (size < 1e-3 || size >= 1e6) {
    const [digits, exponent] = value.toExponential(1).split('e');
    const power = [...String(Number(exponent))].map((c) => SUPERSCRIPT[c]).join('');
    return `${digits.replace('-', '−').replace('.0', '')} × 10${power}`;
  }
  const decimals = Math.max(0, 2 - Math.floor(Math.log10(size)));
  const text = value.toFixed(Math.min(decimals, 6)).replace('-', '−');
  return text.includes('.') ? text.replace(/\.?0+$/, '') : text;
}

/** A number with its unit, as in "0.12°" or "3.1 × 10⁻⁵ 1/mm". */
export function quantity(value, unit) {
  if (unit === 'share') return `${figure(value, unit)} %`;
  return `${number(value)}${UNITS[unit] ?? ` ${unit}`}`;
}

/** A point in mm with a fixed number of decimals, so that the digits do not jump under the pointer. */
export function point(p, decimals = 2) {
  return p.map((x) => x.toFixed(decimals).replace('-', '−')).join(', ');
}

/** A count with thin spaces between thousands. */
export function count(value) {
  return String(value ?? 0).replace(/\B(?=(\d{3})+(?!\d))/g, '\u202f');
}

/** A file size. */
export function bytes(size) {
  if (size < 1024) return `${size} B`;
  if (size < 1024 * 1024) return `${(size / 1024).toFixed(0)} kB`;
  return `${(size / 1024 / 1024).toFixed(1)} MB`;
}

/** A time span in milliseconds as text. */
export function duration(ms) {
  return ms < 1000 ? `${Math.round(ms)} ms` : `${(ms / 1000).toFixed(1)} s`;
}

/** A unit as it stands beside a name. */
export function unitName(unit) {
  return { deg: '°', '1/mm2': '1/mm²', share: '%' }[unit] ?? unit;
}

/** A value as it stands where the unit's name stands elsewhere: shares in per cent. What is missing stays missing. */
export function figure(value, unit) {
  const known = value !== null && value !== undefined;
  return number(known && unit === 'share' ? value * 100 : value);
}
