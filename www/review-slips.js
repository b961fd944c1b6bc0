// Slips about the review: one that was opened and waits, one that came back, and whether what is changed is kept.

import { el, replace } from './dom.js';
import { TOLD } from './link.js';
import { held } from './packed.js';
import { isOf, whenSaved } from './review-file.js';
import { texts } from './texts.js';

const words = { ...texts.reviewFile, ...texts.keeping, fromFile: texts.single.fromFile };

/** `reviews`: review-verbs.js; `keeping`: keeping.js; `single`: single-verbs.js. */
export function mountReviewSlips(root, store, reviews, keeping, single) {
  // A button that takes its slip away leaves the focus to the model.
  const pressed = (click) => async ({ target }) => {
    await click();
    if (!target.isConnected && document.activeElement === document.body) document.getElementById('canvas').focus({ preventScroll: true });
  };
  const button = (id, label, click) => el('button', { type: 'button', id, on: { click: pressed(click) } }, label);
  const slip = (id, lines, buttons) => el('section', { class: 'slip', id }, lines, el('div', { class: 'buttons' }, buttons));
  const close = (name) => button(`${name}-close`, words.close, () => keeping.close(name));

  const offeredSlip = ({ offered, model }) => {
    const { name } = offered.model;
    const leave = button('review-leave', words.leave, () => reviews.leave());
    const hash = offered.model.hash.slice(0, TOLD);
    const from = el('p', { class: 'quiet' }, offered.link ? texts.link.from : words.from(whenSaved(offered.saved)));
    const quiet = (says) => offered.link && el('p', { class: 'quiet' }, says);
    if (!model) return slip('review-waits', [el('p', {}, words.waits(name)), quiet(texts.link.known(hash)), from], leave);
    return slip(
      'review-other',
      [el('p', {}, words.other(name, model.name)), quiet(texts.link.differs(hash, model.summary.hash.slice(0, TOLD))), el('p', { class: 'quiet' }, words.otherAdvice), from],
      [button('review-use', words.apply, () => reviews.use()), leave],
    );
  };
  const heldSlip = ({ held }) =>
    held && slip('kept-elsewhere', el('p', {}, words[held]), [button('take-over', words.takeOver, () => keeping.takeOver()), close('held')]);
  // What lies in the page's own file is of the model in it.
  const within = () => held.review && store.state.work.model.name === held.model?.name && button('review-within', words.fromFile, () => single.useHeld());
  const backSlip = ({ back }) =>
    back && slip('kept-back', el('p', {}, words.back(back.name, whenSaved(back.saved))), [button('review-afresh', words.afresh, () => keeping.afresh()), within(), close('back')]);
  const carriedSlip = ({ carried }) =>
    carried && slip('kept-carried', el('p', {}, words.carried(carried)), [button('review-afresh', words.afresh, () => keeping.afresh()), close('carried')]);
  const brokenSlip = ({ broken }) =>
    broken &&
    slip('kept-broken', el('p', {}, words.broken(broken.name, broken.why)), [button('broken-save', words.saveBroken, () => reviews.saveBroken()), close('broken')]);
  const unkeptSlip = ({ unkept }) =>
    unkept && slip('kept-nowhere', el('p', {}, unkept), [button('unkept-save', words.save, () => reviews.save()), close('unkept')]);

  const offered = el('div', { role: 'status' });
  root.append(offered);
  store.watch(
    ({ work }) => [work.offered, work.model],
    ({ work }) => {
      const fits = work.offered && isOf(work.offered, work.model);
      replace(offered, work.offered && !fits && offeredSlip(work));
    },
  );
  for (const [part, make] of [['held', heldSlip], ['back', backSlip], ['carried', carriedSlip], ['broken', brokenSlip], ['unkept', unkeptSlip]]) {
    const place = el('div', { role: 'status' });
    root.append(place);
    store.watch(
      ({ work }) => [work.keeping[part]],
      ({ work }) => replace(place, make(work.keeping)),
    );
  }
}
