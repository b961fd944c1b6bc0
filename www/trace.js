// The trace: the drawer below the canvas with a measure along the chosen join, as a plot or as a table.

import { choice, el, replace } from './dom.js';
import { figure, quantity, unitName } from './format.js';
import { GRADED, shownLimits } from './limits.js';
import { mountPlot } from './plot.js';
import { ORDERS } from './protocol.js';
import { joinValue, sidesOf } from './records.js';
import { texts } from './texts.js';
import { shownTrace, traceParts } from './trials.js';

const words = texts.trace;

export function mountTrace(root, store) {
  root.setAttribute('aria-label', words.label);
  const head = el('div', { class: 'trace-head' });
  const plot = el('div', { class: 'trace-plot' });
  const table = el('div', { class: 'trace-table', tabindex: '0', role: 'region', 'aria-label': words.table });
  replace(root, head, plot, table);
  mountPlot(plot, store);
  let tabled = null; // the trace in the table

  store.watch(
    ({ work, review }) => [...traceParts(work), work.traceTable, work.traceSides, work.measure, work.limits, review.limits],
    (state) => {
      const { work } = state;
      const join = work.selection.join;
      const { trace, other } = shownTrace(work);
      root.hidden = join === null || join === undefined;
      if (root.hidden) return;
      root.dataset.tried = String(other !== null);
      replace(head, headOf(join, work, trace, other !== null, shownLimits(state, work.measure)?.limits ?? [], store));
      plot.hidden = work.traceTable || !trace;
      table.hidden = !work.traceTable || !trace;
      if (trace !== tabled || table.hidden) replace(table, !table.hidden && tableOf(trace));
      tabled = table.hidden ? null : trace;
    },
  );
}

/** `tried`: it is the trace of a trial, of which the join's own record does not tell. */
function headOf(join, work, trace, tried, limits, store) {
  const record = trace?.measures[work.measure];
  const options = ORDERS.map((order) => ({ id: `trace-measure-${order}`, value: order, label: order.toUpperCase(), title: texts.joins[order] }));
  const largest = largestOf(record, tried ? null : work.joins.find((one) => one.id === join), work.measure);
  return [
    el('h2', {}, words.title(join)),
    choice(texts.joins.measure, options, work.measure, (measure) => store.dispatch({ type: 'choose-measure', measure })),
    el(
      'p',
      { class: 'trace-say' },
      trace && work.traceSides && trace.sides[work.measure]
        ? sidesSaid(join, work)
        : trace
        ? [
            tried && words.tried,
            largest === null ? words.missing : words.largest(quantity(largest, record.unit)),
            ` · ${texts.joins[work.measure === 'g3' ? 'g3long' : work.measure]}`,
            record && offScale(limits, record.unit, largest),
          ].flat()
        : words.waiting,
    ),
    trace?.sides[work.measure] &&
      el(
        'button',
        {
          type: 'button',
          id: 'trace-sides',
          'aria-pressed': String(work.traceSides),
          on: { click: () => store.dispatch({ type: 'trace-sides', on: !work.traceSides }) },
        },
        words.sides,
      ),
    el(
      'button',
      {
        type: 'button',
        id: 'trace-table-toggle',
        'aria-pressed': String(work.traceTable),
        on: { click: () => store.dispatch({ type: 'trace-table', open: !work.traceTable }) },
      },
      work.traceTable ? words.plot : words.table,
    ),
    el('button', { type: 'button', id: 'trace-close', on: { click: () => store.dispatch({ type: 'choose-nothing' }) } }, words.close),
  ];
}

/** Which face is A and which is B. */
function sidesSaid(id, { joins, model, measure }) {
  const join = joins.find((one) => one.id === id);
  const [a, b] = join ? sidesOf(join, model.summary) : ['', ''];
  return `${words.side('A', a)} · ${words.side('B', b ?? a)} · ${words.sidesOf[measure]}`;
}

/** The largest value: the join's own, refined between stations, or the largest station; null where none applies. */
function largestOf(record, join, measure) {
  const values = record?.values.filter(Number.isFinite) ?? [];
  return values.length === 0 ? null : Math.max(...values, joinValue(join ?? {}, measure) ?? 0);
}

/** Names the lowest limit that lies above the plot, so that nobody takes its absence for none. */
function offScale(limits, unit, largest) {
  if (largest === null) return null;
  const i = limits.findIndex((limit) => Number.isFinite(limit) && limit > largest * 1.12);
  return i > 0 ? ` · ${words.offScale(texts.severity[GRADED[i]], quantity(limits[i], unit))}` : null;
}

function tableOf(trace) {
  const orders = ORDERS.filter((order) => trace.measures[order]);
  const unit = (order) => unitName(trace.measures[order].unit);
  return el(
    'table',
    {},
    el(
      'thead',
      {},
      el(
        'tr',
        {},
        el('th', { scope: 'col' }, words.station),
        orders.map((order) => el('th', { scope: 'col' }, `${texts.joins[order]}, ${unit(order)}`)),
      ),
    ),
    el(
      'tbody',
      {},
      trace.s.map((s, i) =>
        el(
          'tr',
          {},
          el('th', { scope: 'row' }, s.toFixed(2)),
          orders.map((order) => el('td', {}, figure(trace.measures[order].values[i], trace.measures[order].unit))),
        ),
      ),
    ),
  );
}
