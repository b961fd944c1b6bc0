// What is done with a report: taking its pictures, asking the core for it, saving and printing it.

import { createAsking } from './asking.js';
import { reviewText } from './keeping.js';
import { pictured, takePictures } from './report-pictures.js';
import { saveFile, stem } from './save-file.js';
import { texts } from './texts.js';

const words = texts.handedOver;

/** `commands.askReport(wish)` resolves with the text of a report, and `commands.askVerdict(wish)` returns the number of its job. */
export function createReports(store, scene, commands) {
  let run = 0; // of the report on its way; another number stops it
  let page = null; // the report that was made last, {name, text}
  const watchers = [];

  /** The review of the open model, as its file has it. */
  const review = () => JSON.parse(reviewText(store.state, store.state.work.model, scene));

  const made = () => new Date().toLocaleString('en-GB', { dateStyle: 'long', timeStyle: 'short' });

  const ask = (form, pictures) => commands.askReport({ form, review: review(), made: made(), pictures });

  const verdicts = createAsking(() => {
    const { work } = store.state;
    return work.model && work.pass === 'verdict' && !work.busy ? commands.askVerdict({ review: review() }) : 0;
  });
  commands.onVerdict(({ job, verdict }) => {
    if (verdict) store.dispatch({ type: 'verdict-known', verdict });
    verdicts.answered(job);
  });
  store.subscribe(({ work, review: now }, { work: was, review: then }) => {
    if (work.model !== was.model) {
      verdicts.forget();
      if (work.verdict) store.dispatch({ type: 'verdict-known', verdict: null });
    }
    if (work.pass !== 'verdict' || work.busy) return;
    const of = ['marks', 'pins', 'verdict', 'zones'];
    const other = of.some((part) => now[part] !== then[part]) || work.findings !== was.findings || work.pass !== was.pass || work.busy !== was.busy || work.model !== was.model || work.reference !== was.reference;
    if (other) verdicts.changed();
  });

  const tell = (report) => store.dispatch({ type: 'report-progress', report });

  async function make() {
    const { model, findings, graphics, reportPictures, busy } = store.state.work;
    if (!model || busy || store.state.work.report) return;
    const mine = ++run;
    const stopped = () => mine !== run || store.state.work.model !== model || store.state.work.findings !== findings;
    try {
      const entries = pictured(store.state, reportPictures);
      tell({ done: 0, of: entries.length });
      const seen = graphics === 'ok' && reportPictures !== 'none';
      const pictures = seen ? await takePictures(store, scene, entries, (done, of) => tell({ done, of }), stopped) : [];
      if (stopped()) return;
      tell({ done: entries.length, of: entries.length, writing: true });
      const text = await ask('html', pictures);
      if (stopped()) return;
      page = { name: `${stem(model.name)}.${words.endings.html}`, text };
      watchers.forEach((show) => show(page));
    } catch (error) {
      store.dispatch({ type: 'notice', notice: words.failed(error.message), say: words.failed(error.message) });
    } finally {
      if (mine === run || store.state.work.report) tell(null);
    }
  }

  return {
    make,
    stop: () => {
      run += 1;
      tell(null);
    },
    /** Calls `show({name, text})` for each report that was made. */
    onMade: (show) => watchers.push(show),
    savePage: () => page && saveFile(store, page.text, page.name, 'text/html'),
    /** Saves a report without pictures; `form`: markdown, findings, joins or json. */
    async save(form) {
      const { model } = store.state.work;
      if (!model) return;
      const types = { markdown: 'text/markdown', findings: 'text/csv', joins: 'text/csv', json: 'application/json' };
      try {
        saveFile(store, await ask(form, []), `${stem(model.name)}.${words.endings[form]}`, types[form]);
      } catch (error) {
        store.dispatch({ type: 'notice', notice: words.failed(error.message), say: words.failed(error.message) });
      }
    },
  };
}
