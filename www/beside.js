// Another model beside the open one, under the same camera and the same lamps. It is a scene of its own: the open model,
// its review and its notes are not touched.

import { mountCameraInput } from './camera-input.js';
import { DEMO_B, bringDemo } from './open.js';
import { diagonal } from './records.js';
import { createScene } from './scene.js';
import { INITIAL, reduce } from './state.js';
import { createStore } from './store.js';
import { texts } from './texts.js';
import { createWorkers } from './workers.js';

/** Actions of the second scene that are choices about both. */
const SHARED = ['set-lamps', 'choose-drag', 'choose-projection'];

/** `canvas`: of the second model; `scene`: of the first. */
export function createBeside(canvas, store, scene) {
  const own = createStore(INITIAL, (state, action) =>
    action.type === 'mirror'
      ? { ...state, review: { ...state.review, lamps: action.lamps }, work: { ...state.work, ...action.work } }
      : reduce(state, action),
  );
  const second = createScene(canvas, {
    ...own,
    get state() {
      return own.state;
    },
    dispatch: (action) => (SHARED.includes(action.type) ? store : own).dispatch(action),
  });
  let Viewer = null;
  let started = false;
  let opened = 0; // counts models asked for, so that a late one is let go

  const workers = createWorkers({
    progress: ({ stage }) => store.dispatch({ type: 'beside-progress', stage }),
    faces: ({ packets }) => second.addFaces(packets),
    model({ summary }) {
      // Faces are all that is needed of it.
      workers.end();
      own.dispatch({ type: 'model-opened', model: { name: store.state.work.beside?.name, size: 0, summary } });
      mirror();
      store.dispatch({ type: 'beside-ready' });
    },
    failed: ({ error }) => failed(error.message),
    crashed: ({ reason }) => failed(reason),
  });

  function failed(message) {
    const name = store.state.work.beside?.name ?? '';
    close();
    store.dispatch({ type: 'notice', notice: `${texts.failure.title(name)}: ${message}` });
  }

  function close() {
    opened += 1;
    workers.end();
    second.clear();
    if (store.state.work.beside) store.dispatch({ type: 'beside-closed' });
  }

  /** What the second scene takes over from the first. */
  function mirror() {
    const { work, review } = store.state;
    const { pass, theme, projection, drag, measure, underlayLook } = work;
    const rigOf = { size: diagonal(work.model?.summary) || 1000, middle: scene.rigMiddle() };
    own.dispatch({ type: 'mirror', lamps: review.lamps, work: { pass, theme, projection, drag, measure, underlayLook, rigOf } });
  }

  store.watch(
    ({ work, review }) => [work.pass, work.theme, work.projection, work.drag, work.underlayLook, review.lamps],
    ({ work }) => work.beside && mirror(),
  );
  // The open model was replaced: what stood beside it has nothing to be compared with.
  store.subscribe(({ work }, before) => {
    if (before.work.beside && !work.beside) queueMicrotask(() => store.state.work.beside || close());
  });

  // One camera: each scene follows the other.
  let following = false;
  const follow = (from, to) => {
    if (following || !store.state.work.beside) return;
    following = true;
    to.setCamera(from.camera());
    following = false;
  };
  scene.onView(() => follow(scene, second));
  second.onView(() => {
    if (store.state.work.beside?.ready) follow(second, scene);
  });
  mountCameraInput(canvas, second, () => canvas.blur());

  async function open(name, bring) {
    close();
    const mine = opened;
    store.dispatch({ type: 'beside-began', name });
    if (!started) second.start(Viewer);
    started = true;
    if (own.state.work.graphics !== 'ok') return failed(texts.graphics.none);
    mirror();
    // Before the first face: a scene whose camera nobody has set fits itself to what comes.
    second.setCamera(scene.camera());
    try {
      const bytes = await bring();
      if (mine !== opened) return;
      if (bytes.byteLength === 0) throw new Error(texts.failure.empty);
      workers.open(name, bytes, store.state.review.yardstick, {}, {}, { rules: [], picked: [] }, { unit: null, hidden: false, search: null, plane: null });
    } catch (error) {
      if (mine === opened) failed(error.message);
    }
  }

  return {
    /** Takes the compiled wasm and the renderer's class. */
    start(compiled, renderer) {
      Viewer = renderer;
      workers.start(compiled);
    },
    openFile: (file) => open(file.name, () => file.arrayBuffer()),
    openDemo: () => open(DEMO_B.split('/').pop(), () => bringDemo(DEMO_B)),
    close,
  };
}
