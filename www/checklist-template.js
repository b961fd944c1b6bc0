// The lines a checklist starts from: the usual ones, or the reviewer's own, remembered where storage allows it.

import { readChecklist } from './checklist.js';
import { texts } from './texts.js';

const KEY = 'rakelight-checklist';

/** Own lines where the browser keeps none: they last as long as the page. */
let here = null;

/** {lines: words, own: true where they are the reviewer's, wrong: why kept ones could not be read, or null}. */
export function template() {
  const usual = { lines: texts.checklist.usual, own: false, wrong: null };
  const kept = here ?? stored();
  if (kept === null) return usual;
  try {
    const lines = readChecklist(JSON.parse(kept)).map(({ text }) => text);
    return lines.length > 0 ? { lines, own: true, wrong: null } : usual;
  } catch (error) {
    return { ...usual, wrong: error instanceof SyntaxError ? texts.checklist.wrong.json : error.message };
  }
}

/** Keeps the words of lines as the reviewer's own; false where the browser remembers nothing beyond this page. */
export function keepTemplate(lines) {
  const text = JSON.stringify(lines.map((line) => line.text));
  try {
    localStorage.setItem(KEY, text);
    here = null;
    return true;
  } catch {
    here = text;
    return false;
  }
}

/** Goes back to the usual lines; false where the browser does not forget the kept ones. */
export function forgetTemplate() {
  here = null;
  try {
    localStorage.removeItem(KEY);
    return true;
  } catch {
    return stored() === null;
  }
}

function stored() {
  try {
    return localStorage.getItem(KEY);
  } catch {
    return null;
  }
}
