// Slips of paper over the canvas: a running import with Cancel, a failure with entity and line, lost pictures.

import { el, replace } from './dom.js';
import { mountProgress } from './progress.js';
import { texts } from './texts.js';

/** `commands`: cancel(), redraw(), again(). */
export function mountSlips(root, store, commands) {
  const progress = el('div', {});
  const failure = el('div', { role: 'alert' });
  const graphics = el('div', { role: 'status' });
  const notice = el('div', { role: 'status' });
  replace(root, progress, failure, graphics, notice);
  mountProgress(progress, store, commands);

  store.watch(
    ({ work }) => [work.failure, work.model],
    ({ work }) => replace(failure, work.failure && failureSlip(work, store, commands)),
  );
  store.watch(
    ({ work }) => [work.graphics],
    ({ work }) => {
      const words = texts.graphics;
      const slip = {
        none: () => el('section', { class: 'slip' }, el('p', {}, words.none), el('p', { class: 'quiet' }, words.noneAdvice)),
        lost: () =>
          el(
            'section',
            { class: 'slip' },
            el('p', {}, words.lost),
            el('button', { type: 'button', id: 'redraw', on: { click: () => commands.redraw() } }, words.retry),
          ),
      }[work.graphics];
      replace(graphics, slip?.());
    },
  );
  store.watch(
    ({ work }) => [work.notice],
    ({ work }) =>
      replace(
        notice,
        work.notice &&
          el(
            'section',
            { class: 'slip row-slip' },
            el('p', {}, work.notice),
            el('button', { type: 'button', on: { click: () => store.dispatch({ type: 'notice', notice: null }) } }, texts.failure.dismiss),
          ),
      ),
  );
}

function failureSlip({ failure, model }, store, commands) {
  const words = texts.failure;
  const where = [
    failure.line !== null && failure.line !== undefined && words.line(failure.line),
    failure.entity !== null && failure.entity !== undefined && words.entity(failure.entity),
  ].filter(Boolean);
  return el(
    'section',
    { class: 'slip failure', id: 'failure' },
    el('h2', {}, failure.title),
    el('p', { id: 'failure-message' }, failure.message),
    where.length > 0 && el('p', { class: 'where', id: 'failure-where' }, where.join(', ')),
    failure.advice && el('p', { class: 'quiet' }, failure.advice),
    model && el('p', { class: 'quiet' }, words.kept(model.name)),
    el(
      'div',
      { class: 'buttons' },
      failure.again && el('button', { type: 'button', id: 'failure-again', on: { click: () => commands.again() } }, words.again),
      el('button', { type: 'button', id: 'failure-dismiss', on: { click: () => store.dispatch({ type: 'dismiss-failure' }) } }, words.dismiss),
    ),
  );
}
