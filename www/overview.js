// The Overview pass: what the file holds, by which yardstick it is graded, what was not read.

import { choice, el, replace } from './dom.js';
import { count, duration, figure, number, unitName } from './format.js';
import { importReport } from './import-report.js';
import { ORDERS, ZONES } from './protocol.js';
import { faceTotal } from './records.js';
import { texts } from './texts.js';

const words = texts.overview;

export function mountOverview(root, store) {
  const facts = el('div', {});
  const yardstick = el('div', { class: 'block' });
  replace(root, facts, yardstick, el('p', { class: 'caution' }, words.safety));

  store.watch(
    ({ work }) => [work.model, work.joins],
    ({ work }) => {
      if (!work.model) return replace(facts, el('p', { class: 'quiet' }, words.empty));
      replace(facts, factList(work), importReport(work.model.summary));
    },
  );
  store.watch(
    ({ work, review }) => [review.yardstick, work.limits],
    ({ work, review }) => {
      replace(
        yardstick,
        el('h3', {}, words.zone),
        zoneChoice('yardstick', review.yardstick, store),
        work.limits ? limitTable(work.limits) : null,
      );
    },
  );
}

/** Buttons for the zone whose limits grade the findings. */
function zoneChoice(id, chosen, store) {
  const options = ZONES.map((zone) => ({ id: `${id}-${zone}`, value: zone, label: texts.zones[zone] }));
  const group = choice(words.zone, options, chosen, (zone) =>
    store.dispatch({ type: 'choose-yardstick', yardstick: zone }),
  );
  group.id = id;
  return group;
}

function factList({ model, joins }) {
  const { summary } = model;
  const size = summary.bbox ? summary.bbox[0].map((low, i) => number(summary.bbox[1][i] - low)).join(' × ') : '–';
  const counts = summary.counts ?? {};
  const rows = [
    [words.units, summary.units],
    [words.size, `${size} mm`],
    [words.faces, count(faceTotal(summary))],
    [words.joins, count(joins.filter((join) => join.class !== 'outline').length)],
  ];
  if (model.times) {
    const sum = Object.values(model.times).reduce((a, b) => a + b, 0);
    rows.push([words.times, duration(sum)]);
  }
  const types = Object.entries(counts.faces ?? {}).filter(([, n]) => n > 0);
  return el(
    'div',
    {},
    el('p', { class: 'schema', title: words.schema }, String(summary.schema ?? '–').replaceAll('_', '_\u200b')),
    el('dl', { class: 'facts' }, rows.map(([name, value]) => [el('dt', {}, name), el('dd', {}, value ?? '–')])),
    types.length > 0 &&
      el(
        'div',
        { class: 'block' },
        el('h3', {}, words.types),
        el('dl', { class: 'facts' }, types.map(([type, n]) => [el('dt', {}, texts.kinds[type] ?? type), el('dd', {}, count(n))])),
      ),
  );
}

/** The limits of the first four measures under the chosen yardstick. */
function limitTable(limits) {
  const head = ['polish', 'fix', 'serious'].map((name) => el('th', { scope: 'col' }, texts.severity[name]));
  const rows = ORDERS.filter((order) => limits[order]).map((order) =>
    el(
      'tr',
      {},
      el('th', { scope: 'row' }, `${texts.joins[order]}, ${unitName(limits[order].unit)}`),
      limits[order].limits.map((limit) => el('td', {}, limit === null ? '–' : figure(limit, limits[order].unit))),
    ),
  );
  return el('table', { class: 'limits' }, el('thead', {}, el('tr', {}, el('th', {}, words.limit), head)), el('tbody', {}, rows));
}
