// Numbers beside what is drawn on the model: the value of the chosen finding at its place, and of the station under the pointer.

import { el, replace } from './dom.js';
import { quantity } from './format.js';
import { findingKey, placePoint } from './records.js';
import { rowOf } from './rows.js';
import { texts } from './texts.js';

/** `root`: an element over the whole canvas. */
export function mountTags(root, store, scene) {
  root.setAttribute('aria-hidden', 'true'); // the card and the trace say the same
  let tags = [];

  function place() {
    const spots = scene.onScreen(tags.map(({ at }) => at));
    tags.forEach(({ node }, i) => {
      node.hidden = !spots[i];
      if (spots[i]) node.style.transform = `translate(${spots[i][0].toFixed(1)}px, ${spots[i][1].toFixed(1)}px)`;
    });
  }

  scene.onView(place);
  store.watch(
    ({ work }) => [work.rows, work.rowsFound, work.pass, work.selection, work.findings, work.trace, work.station, work.measure, work.graphics],
    ({ work }) => {
      tags = tagsOf(work).map(({ at, text }) => ({ at, node: el('span', { class: 'tag' }, el('b', {}, text)) }));
      replace(root, tags.map(({ node }) => node));
      place();
    },
  );
}

function tagsOf(work) {
  const { selection, findings, trace, station, measure } = work;
  const row = work.pass === 'rows' ? rowOf(work) : null;
  // Where a row begins and ends, as the trace counts its points.
  if (row) return [[1, row.points.slice(0, 3)], [row.points.length / 3, row.points.slice(-3)]].map(([n, at]) => ({ at, text: String(n) }));
  const record = trace?.measures[measure];
  if (record && station !== null && Number.isFinite(record.values[station])) {
    return [{ at: trace.points.slice(3 * station, 3 * station + 3), text: quantity(record.values[station], record.unit) }];
  }
  const finding = findings.find((one) => findingKey(one) === selection.finding);
  const at = finding && placePoint(finding);
  return at ? [{ at, text: quantity(finding.value, finding.unit ?? texts.measures[finding.measure]?.[1] ?? '') }] : [];
}
