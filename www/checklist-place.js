// Places of checklist lines: where the camera stands and the chosen face, kept, and gone back to.

import { keptPlace } from './checklist.js';
import { faceName, faceTotal } from './records.js';
import { texts } from './texts.js';

const words = texts.checklist;

/** The place now, or null while there is no model or no picture. */
export function placeNow(store, scene) {
  const { model, selection } = store.state.work;
  const camera = model && scene.camera();
  return camera ? keptPlace({ model: model.name, face: selection.face ?? null, camera }) : null;
}

/** A place in words: the face it has, where it is one of the open model. */
export function placeSaid({ model, face }, open) {
  if (face === null) return words.placeView(model);
  const known = open?.name === model && face < faceTotal(open.summary);
  return words.placeFace(known ? faceName(open.summary, face) : texts.face(face), model);
}

/** Chooses the face and flies there. On another model, say a later revision, the view alone is shown, and that is told. */
export function goTo(place, store, scene) {
  const { model } = store.state.work;
  const same = model?.name === place.model;
  if (!same) store.dispatch({ type: 'notice', notice: words.otherModel(place.model), say: words.otherModel(place.model) });
  if (!model) return;
  const face = same && place.face !== null && place.face < faceTotal(model.summary) ? place.face : null;
  const { point, size } = place;
  const flight = place.camera ? undefined : { point, faces: face === null ? [] : [face], size, beyond: true };
  if (face !== null || flight) store.dispatch({ type: 'choose-face', face, flight, say: placeSaid(place, model) });
  if (!place.camera) return;
  try {
    // A frame's size belongs to the window, not to a place.
    scene.flyHome({ ...place.camera, width: 1, height: 1 });
  } catch {
    store.dispatch({ type: 'notice', notice: words.placeGone, say: words.placeGone });
  }
}
