// One store for the page: action → store → view. `review` can be undone, `work` cannot.

/** How many steps can be undone. Larger keeps more snapshots alive; smaller forgets within one review. */
const DEPTH = 200;

/**
 * `reduce(state, action)` returns the next state `{review, work}` without changing the old one.
 * An action that changes `review` is a step that can be undone; neighbouring actions with the same
 * `gesture` (one drag of a slider) are one step.
 */
export function createStore(initial, reduce) {
  let state = initial;
  let past = [];
  let future = [];
  let gesture = null;
  const watchers = new Set();

  function settle(next, action) {
    const before = state;
    state = { ...next, canUndo: past.length > 0, canRedo: future.length > 0 };
    for (const watcher of [...watchers]) watcher(state, before, action);
  }

  function dispatch(action) {
    const next = reduce(state, action);
    if (action.forget) {
      past = [];
      future = [];
      gesture = null;
    } else if (next.review !== state.review) {
      const same = action.gesture && action.gesture === gesture && past.length > 0;
      if (!same) past = [...past.slice(-(DEPTH - 1)), state.review];
      future = [];
      gesture = action.gesture ?? null;
    }
    settle(next, action);
  }

  function step(from, to, type) {
    if (from.length === 0) return;
    const review = from[from.length - 1];
    from.pop();
    to.push(state.review);
    gesture = null;
    settle({ ...state, review }, { type });
  }

  return {
    get state() {
      return state;
    },
    dispatch,
    undo: () => step(past, future, 'undo'),
    redo: () => step(future, past, 'redo'),
    /** Calls `watcher(state, before, action)` after each action; returns the function that stops it. */
    subscribe(watcher) {
      watchers.add(watcher);
      return () => watchers.delete(watcher);
    },
    /** Calls `render(state)` now and whenever one of the values that `select(state)` lists has changed. */
    watch(select, render) {
      let last = select(state);
      render(state);
      return this.subscribe((next) => {
        const now = select(next);
        if (now.some((value, i) => value !== last[i])) {
          last = now;
          render(next);
        }
      });
    },
  };
}
