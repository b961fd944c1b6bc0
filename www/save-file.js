// Saving a text, or a Blob, as a file of the browser's.

import { texts } from './texts.js';

/** A model's name without its ending. */
export const stem = (name) => name.replace(/\.[^.]*$/, '');

export function saveFile(store, text, name, type) {
  const link = document.createElement('a');
  link.href = URL.createObjectURL(new Blob([text], { type }));
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 10000);
  // A frame without an origin may be one without downloads too, and is not told so.
  const notice = self.origin === 'null' && location.protocol !== 'file:' ? texts.say.framed : null;
  store.dispatch({ type: 'notice', notice, say: [texts.say.saved(name), notice].filter(Boolean).join(' ') });
}
