// The page as one file to be saved: its state.

/** Part of `work`: null, or {size: bytes, 0 while it is being made; model, review: bytes that they take of it}. */
export const SINGLE = Object.freeze({ single: null });

export const SINGLE_ACTIONS = {
  'set-single': (work, { single }) => ({ ...work, single }),
};
