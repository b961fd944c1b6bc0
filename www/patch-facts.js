// What the Layout pass says of one patch.

import { el, factList } from './dom.js';
import { count, number, quantity } from './format.js';
import { faceName } from './records.js';
import { texts } from './texts.js';

const words = texts.layout;

/** Patches named by themselves among those that one meets. */
const NAMED = 6;

/** `met`: the faces it meets. */
export function patchFacts({ face, role, kind, area, size, shortest, collapsed, spline }, { model }, met) {
  const both = (pair) => words.by(...pair.map(count));
  const names = met.slice(0, NAMED).map((id) => faceName(model.summary, id));
  const rest = met.length - names.length;
  const rows = [
    [words.roleOf, words.role[role]],
    [words.surface, words.kindOf[kind] ?? kind],
    [words.area, quantity(area, 'mm2')],
    [words.size, size && words.by(...size.map(number))],
    [words.degree, spline && both(spline.degree)],
    [words.spans, spline && both(spline.spans)],
    [words.points, spline && both(spline.points)],
    [words.rational, spline && (spline.rational ? words.weighted : words.unweighted)],
    [words.knots, spline && count(spline.multiple_knots)],
    [words.share, spline?.share !== undefined && spline?.share !== null ? quantity(spline.share, 'share') : null],
    [words.twist, spline?.twist !== undefined && spline?.twist !== null ? quantity(spline.twist, 'deg') : null],
    [words.shortest, shortest === null ? null : quantity(shortest, 'mm')],
    [words.collapsed, collapsed > 0 ? count(collapsed) : null],
    [words.meets, names.length > 0 ? [names.join(', '), rest > 0 ? words.more(count(rest)) : ''].filter(Boolean).join(' ') : null],
  ];
  return [el('p', { id: 'patch-name' }, faceName(model.summary, face)), factList(rows, { id: 'patch-facts', data: { face: String(face), role } })];
}
