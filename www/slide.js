// A labelled slider with its value beside it; lengths run by powers of ten, so that small parts and whole bodies are within reach.

import { el } from './dom.js';

/** How a slider runs by powers of ten, and straight. */
export const POWERS = Object.freeze({ of: (x) => Number((10 ** x).toPrecision(2)), to: Math.log10 });
export const STRAIGHT = Object.freeze({ of: (x) => x, to: (x) => x });

/** `run`: {min, max, step} of the slider itself with `of` and `to`, what its value means and back; `said(value)`: that as words. */
export function slide({ id, label, run, said, set }) {
  const { of, to, ...range } = run;
  const output = el('output', { for: id });
  const slider = el('input', { type: 'range', ...range, id, 'aria-label': label, on: { input: () => set(of(Number(slider.value))) } });
  return {
    row: el('div', { class: 'field slide-row' }, el('label', { for: id }, label), slider, output),
    show(value) {
      slider.value = String(to(value));
      output.textContent = said(value);
      slider.setAttribute('aria-valuetext', output.textContent);
    },
    /** Another stretch, in the slider's own numbers. */
    range(min, max, step) {
      Object.assign(slider, { min, max, step });
    },
  };
}
