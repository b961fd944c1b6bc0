// Looking along the chosen row: the camera goes there, follows from row to row, and comes back to where it was.

import { drawnRow, patchIds, rowOf, rowsOf, wantedRows } from './rows.js';

export function mountSight(store, scene) {
  let home = null; // {camera, model} from before, while one looks along a row
  let seen = null; // the row looked along

  store.subscribe(({ work }, before) => {
    // A finding about rows shows its row; where those of its face are not known yet, they come with it.
    if (work.selection.finding !== before.work.selection.finding && rowsOf(work)) {
      const drawn = drawnRow(work);
      if (drawn) return store.dispatch({ type: 'choose-row', ...drawn });
    }
    if (work.rows.sight && wantedRows(work) === null) return store.dispatch({ type: 'set-rows', rows: { sight: false } });
    const row = work.rows.sight ? rowOf(work) : null;
    if (row && row !== seen) {
      home ??= { camera: scene.bound(), model: work.model };
      seen = row;
      scene.sight(row);
    } else if (!work.rows.sight && home) {
      const { camera, model } = home;
      [home, seen] = [null, null];
      // Of another model, or of one that is gone, the stand is worth nothing.
      if (model === work.model && camera) scene.flyHome(camera);
    }
  });
}

/** Turns sighting on or off, where there is a row to look along. */
export function toggleSight(store) {
  const { work } = store.state;
  const sight = !work.rows.sight && Boolean(rowOf(work)?.profile);
  if (sight === work.rows.sight) return;
  store.dispatch({ type: 'set-rows', rows: { sight, ...(sight && { view: 'profile', folded: false }) } });
}

/** To the row `step` further on, of as many as there are. */
export function stepRow(store, step) {
  const { work } = store.state;
  if (rowsOf(work)) store.dispatch({ type: 'choose-row', along: work.rows.along, index: work.rows.index + step });
}

/** To the other direction, at the row in the same share of the patch. */
export function turnRow(store, along) {
  const { work } = store.state;
  const found = rowsOf(work);
  if (!found || along === work.rows.along) return;
  const share = work.rows.index / Math.max(1, found[work.rows.along].length - 1);
  store.dispatch({ type: 'choose-row', along, index: Math.round(share * (found[along].length - 1)) });
}

/** To the patch `step` further on in the order of the file, round about. */
export function stepPatch(store, step) {
  const { work } = store.state;
  const faces = patchIds(work);
  if (faces.length === 0) return;
  const here = faces.indexOf(work.selection.face);
  const next = here < 0 ? (step > 0 ? 0 : faces.length - 1) : (here + step + faces.length) % faces.length;
  const face = faces[next];
  // While one sights, the camera goes to the row, not to the face.
  store.dispatch({ type: 'choose-face', face, flight: work.rows.sight ? undefined : { face } });
}

const KEYS = {
  ',': (store) => stepRow(store, -1),
  '.': (store) => stepRow(store, 1),
  x: (store) => turnRow(store, store.state.work.rows.along === 'u' ? 'v' : 'u'),
  n: (store) => stepPatch(store, 1),
  b: (store) => stepPatch(store, -1),
  s: toggleSight,
};

/** The pass's own keys, on the model and in the drawer. */
export function mountRowKeys(nodes, store) {
  for (const node of nodes) {
    node.addEventListener('keydown', (event) => {
      if (store.state.work.pass !== 'rows' || event.ctrlKey || event.metaKey || event.altKey) return;
      const act = KEYS[event.key.toLowerCase()];
      if (!act) return;
      event.preventDefault();
      act(store);
    });
  }
}
