// The status line: what the picture is worth, and what lies under the pointer.

import { tally, tallyKey } from './checklist.js';
import { el, replace } from './dom.js';
import { FORM_UNIT, wantedMap } from './form-range.js';
import { point, quantity } from './format.js';
import { faceName, faceTotal } from './records.js';
import { texts } from './texts.js';

const words = texts.status;

export function mountStatus(root, store) {
  const frame = el('span', { id: 'status-frame' });
  const pick = el('span', { id: 'status-pick' });
  replace(root, frame, pick);

  store.watch(
    ({ work }) => [work.frame, work.model, work.graphics],
    ({ work }) => {
      frame.dataset.kind = work.frame.kind;
      frame.textContent =
        work.graphics === 'none' || work.graphics === 'lost'
          ? words.noPicture
          : work.model
            ? [worth(work), work.frame.note].filter(Boolean).join(' · ')
            : '';
    },
  );
  store.watch(
    ({ work, review }) => [work.pointer, work.model, work.pass === 'form' && review.form.view, work.mapped],
    (state) => {
      const { work: { pointer, model, pass }, review } = state;
      const shownView = wantedMap(state);
      if (!pointer || !model) {
        pick.replaceChildren();
        return;
      }
      const part = (name, value, kind) => el('span', { class: kind }, el('span', { class: 'label' }, name), ` ${value}`);
      if (pointer.face === null) return replace(pick, words.reference, ' ', part('x, y, z', point(pointer.point, 3), 'pick-point'));
      replace(
        pick,
        pointer.join !== null && pointer.join !== undefined && part(words.join, pointer.join, 'pick-join'),
        el('span', { class: 'pick-face' }, faceName(model.summary, pointer.face)),
        sampledPart(pointer, shownView, part),
        pass === 'form' && pointer.form && formParts(pointer.form, review.form.view, part),
        part(words.uv, `${pointer.u.toFixed(4)}, ${pointer.v.toFixed(4)}`, 'pick-uv'),
        part('x, y, z', point(pointer.point, 3), 'pick-point'),
      );
    },
  );
}

/** The sampled value under the pointer. */
function sampledPart({ sampled }, view, part) {
  return view && sampled !== null && sampled !== undefined && part(texts.form.views[view], quantity(sampled, 'mm'), 'pick-form pick-sampled');
}

/** The values of form under the pointer: the one that colours the surface first. */
function formParts(values, view, part) {
  const names = [view, 'max', 'min', 'radius'].filter((name, i, all) => name in values && all.indexOf(name) === i);
  const said = (name) => {
    if (name !== 'radius') return quantity(values[name], FORM_UNIT[name]);
    if (values.radius === null) return words.flat;
    return `${quantity(values.radius, 'mm')} ${values.hollow ? words.hollow : words.convex}`;
  };
  return names.map((name) => part(words.form[name], said(name), `pick-form pick-${name}`));
}

/** What the picture is worth; exactness is said of faces only. */
function worth({ frame, model }) {
  if (frame.kind === 'exact' && faceTotal(model.summary) === 0) return words.noFaces;
  return words[frame.kind] ?? frame.kind;
}

/** Speaks results, not frames: what was opened, picked, graded. */
export function mountLive(root, store) {
  const say = (text) => {
    root.textContent = text;
  };
  store.subscribe(({ work, review }, before, action) => {
    if (action.type === 'import-done' && work.model) {
      say(texts.say.opened(work.model.name, faceTotal(work.model.summary), work.findings.length));
    }
    if (action.type === 'choose-face') say(texts.say.picked(faceName(work.model?.summary, action.face)));
    if (action.type === 'choose-join') say(texts.say.pickedJoin(action.join));
    if (action.type === 'graded' && before.work.findings.length > 0 && !work.busy) {
      say(texts.say.regraded(texts.zones[review.yardstick], work.findings.length));
    }
    if (action.type === 'import-cancelled') say(work.model ? texts.progress.kept : texts.progress.cancelled);
    // Its count is told where it has changed, by undo too.
    if (tallyKey(review.checklist) !== tallyKey(before.review.checklist)) say([action.say, texts.checklist.counted(texts.checklist.tally(tally(review.checklist)))].filter(Boolean).join(' '));
    else if (action.say) say(action.say);
  });
}
