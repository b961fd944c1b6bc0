// The Overview pass: what the file holds, by which yardstick it is graded, what was not read.

import { choice, el, replace } from './dom.js';
import { count, duration, figure, number, unitName } from './format.js';
import { importReport, sizeDoubt, unitText } from './import-report.js';
import { ORDERS, ZONES } from './protocol.js';
import { faceTotal } from './records.js';
import { texts } from './texts.js';
import { mountZones } from './zone-controls.js';

const words = texts.overview;

/** `commands`: readAgain(reading); `paint`: createZonePaint(). */
export function mountOverview(root, store, commands, paint) {
  const facts = el('div', {});
  const yardstick = el('div', { class: 'block' });
  const took = el('p', { class: 'quiet' });
  const zones = el('div', { class: 'block' });
  replace(root, facts, took, yardstick, zones, el('p', { class: 'caution' }, words.safety));
  mountZones(zones, store, paint);

  store.watch(
    ({ work }) => [work.model, work.joins],
    ({ work }) => {
      if (!work.model) return replace(facts, el('p', { class: 'quiet' }, words.empty));
      const { summary, reading } = work.model;
      replace(
        facts,
        sizeDoubt(summary, reading, commands),
        factList(work),
        importReport(summary, reading, store, commands),
        kinds(summary),
      );
    },
  );
  store.watch(
    ({ work }) => [work.times],
    ({ work }) => {
      const sum = Object.values(work.times ?? {}).reduce((a, b) => a + b, 0);
      took.textContent = work.times ? `${words.times} ${duration(sum)}` : '';
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
  const report = summary.import;
  const rows = [
    [words.writer, report.writer],
    [words.preprocessor, report.preprocessor === report.writer ? '' : report.preprocessor],
    [words.units, unitText(report)],
    [words.size, `${size}\u00a0mm`],
    [words.faces, count(faceTotal(summary))],
    [words.joins, count(joins.filter((join) => join.class !== 'outline').length)],
    [words.freeCurves, report.free_curves > 0 && count(report.free_curves)],
    [words.meshes, report.meshes.length > 0 && count(report.meshes.reduce((sum, mesh) => sum + mesh.triangles, 0))],
    [words.entities, count(report.entities)],
  ];
  const schema = String(summary.schema ?? '').replaceAll('_', '_\u200b');
  return el(
    'div',
    {},
    el('p', { class: 'schema', title: words.schema }, schema.startsWith(report.format) ? schema : [report.format, schema].filter(Boolean).join(' · ')),
    el('dl', { class: 'facts' }, rows.filter(([, value]) => value).map(([name, value]) => [el('dt', {}, name), el('dd', {}, value)])),
  );
}

function kinds(summary) {
  const types = Object.entries(summary.counts.faces).filter(([, n]) => n > 0);
  return (
    types.length > 0 &&
    el(
      'div',
      { class: 'block' },
      el('h3', {}, words.types),
      el('dl', { class: 'facts' }, types.map(([type, n]) => [el('dt', {}, texts.kinds[type] ?? type), el('dd', {}, count(n))])),
    )
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
