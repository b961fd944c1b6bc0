// The Joins pass: which measure colours the joins on the model, and how many joins reach which order.

import { choice, el, replace } from './dom.js';
import { count } from './format.js';
import { mountLimitControls } from './limit-controls.js';
import { mountSearchControls } from './search-controls.js';
import { ORDERS } from './protocol.js';
import { texts } from './texts.js';

const words = texts.joins;

export function mountJoinControls(root, store) {
  const measure = el('div', { class: 'block' });
  const classes = el('div', { class: 'block', id: 'join-classes' });
  const limits = el('div', { class: 'block' });
  const search = el('div', { class: 'block' });
  replace(root, measure, limits, classes, search);
  mountSearchControls(search, store);
  mountLimitControls(limits, store);

  store.watch(
    ({ work }) => [work.measure],
    ({ work }) => {
      const options = ORDERS.map((order) => ({
        id: `measure-${order}`,
        value: order,
        label: el('span', {}, el('b', {}, order.toUpperCase()), ` ${words[order]}`),
      }));
      replace(
        measure,
        el('h3', {}, words.measure),
        choice(words.measure, options, work.measure, (value) => store.dispatch({ type: 'choose-measure', measure: value }), 'grid'),
        el('p', { class: 'quiet' }, words.hint),
      );
    },
  );
  store.watch(
    ({ work }) => [work.joins, work.model],
    ({ work }) => {
      if (!work.model) return replace(classes);
      const tally = Object.keys(texts.classes)
        .map((name) => [name, work.joins.filter((join) => join.class === name).length])
        .filter(([, n]) => n > 0);
      replace(
        classes,
        el('h3', {}, words.classes),
        tally.length === 0 && el('p', { class: 'quiet' }, words.none),
        el('dl', { class: 'facts' }, tally.map(([name, n]) => [el('dt', {}, texts.classes[name]), el('dd', {}, count(n))])),
      );
    },
  );
}
