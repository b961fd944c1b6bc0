// The template of the checklist: the lines as the reviewer's own, or back to the usual ones.

import { forgetTemplate, keepTemplate, template } from './checklist-template.js';
import { el, replace } from './dom.js';
import { texts } from './texts.js';

const words = texts.checklist;

/** `changed()` is called when another template is kept. Returns what shows it beside the lines of the list. */
export function mountChecklistTemplate(root, store, changed) {
  const said = el('p', { id: 'checklist-said', class: 'quiet' });
  const tell = (text) => {
    said.textContent = text;
    store.dispatch({ type: 'notice', notice: store.state.work.notice, say: text });
    changed();
  };
  const keep = el(
    'button',
    {
      type: 'button',
      id: 'template-keep',
      on: {
        click: () => {
          const lines = store.state.review.checklist;
          tell(keepTemplate(lines) ? words.kept(lines.length) : words.keptHere);
        },
      },
    },
    words.keepTemplate,
  );
  const usual = el(
    'button',
    {
      type: 'button',
      id: 'template-usual',
      on: {
        click: () => {
          tell(forgetTemplate() ? words.backToUsual : words.notForgotten);
          // The button has gone with what it was for.
          if (usual.hidden) (keep.hidden ? document.getElementById('checklist-start') : keep).focus();
        },
      },
    },
    words.usualTemplate,
  );
  const wrong = el('p', { id: 'template-wrong', class: 'doubt' });
  const note = el('p', { class: 'quiet' }, words.templateNote);
  replace(root, wrong, el('div', { class: 'buttons' }, keep, usual), said, note);
  return (lines) => {
    const { own, wrong: why } = template();
    wrong.hidden = why === null;
    wrong.textContent = why === null ? '' : words.wrongTemplate(why);
    keep.hidden = lines.length === 0;
    usual.hidden = !own && why === null;
    note.hidden = keep.hidden;
    said.hidden = said.textContent === '';
  };
}
