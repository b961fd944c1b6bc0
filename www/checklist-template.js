// The lines a checklist starts from: the usual ones, or the reviewer's own.

import { readChecklist } from './checklist.js';
import { keptLines } from './kept-lines.js';
import { texts } from './texts.js';

const lines = keptLines({
  key: 'rakelight-checklist',
  usual: () => texts.checklist.usual,
  read: (value) => readChecklist(value).map(({ text }) => text),
  wrong: texts.checklist.wrong.json,
});

/** {lines: words, own: true where they are the reviewer's, wrong: why kept ones could not be read, or null}. */
export const template = lines.now;

/** Keeps the words of lines as the reviewer's own; false where the browser remembers nothing beyond this page. */
export const keepTemplate = (checklist) => lines.keep(checklist.map((line) => line.text));

/** Goes back to the usual lines; false where the browser does not forget the kept ones. */
export const forgetTemplate = lines.forget;
