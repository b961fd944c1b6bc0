// What is done with a review as a file: saving it, opening one, using it on a model.

import { asksForJoins, idle, reviewText } from './keeping.js';
import { HEAD_BYTES, MOST_BYTES, isOf, isReviewHead, readReview, reviewOn, whenSaved } from './review-file.js';
import { saveFile, stem } from './save-file.js';
import { texts } from './texts.js';

const words = texts.reviewFile;

export function createReviews(store, scene, keeping) {
  let readAgain = () => {};

  // A review that waits is used when its model is there, over what was kept of it.
  store.subscribe(({ work }, before) => {
    if (work.offered && work.model !== before.work.model && isOf(work.offered, work.model)) use();
  });

  function take(name, text) {
    let offered;
    try {
      offered = readReview(text);
    } catch (error) {
      refused(name, error.message);
      return;
    }
    offer(offered);
  }

  /** A review that comes from outside: used at once on the model that it was made on. */
  function offer(offered) {
    store.dispatch({ type: 'review-offered', offered });
    if (isOf(offered, store.state.work.model)) use();
  }

  const refused = (name, message) =>
    store.dispatch({ type: 'review-refused', failure: { title: words.refused(name), message, advice: words.advice } });

  /** Puts the review that is offered in place of the one there is, as one step; then shows what its author saw. */
  async function use() {
    const { offered, model } = store.state.work;
    const { name, summary } = model;
    await keeping.settled();
    const reading = offered.link?.reading;
    if (reading && isOf(offered, model) && ['unit', 'hidden'].some((part) => reading[part] !== model.reading[part])) {
      await idle(store);
      // It is used when the model is there again, as its author read it.
      if (store.state.work.offered === offered && store.state.work.model === model) readAgain(reading);
      return;
    }
    if (asksForJoins(offered.review, store.state.review)) await idle(store);
    const { work, review } = store.state;
    if (work.offered !== offered) return; // used or left meanwhile
    if (work.model?.summary.hash !== summary.hash) return; // another model was opened meanwhile: it goes on waiting
    const said = offered.link ? texts.link.applied : words.applied(whenSaved(offered.saved));
    store.dispatch({ type: 'review-offered', offered: null });
    store.dispatch({ type: 'open-review', review: reviewOn(offered, name, review) });
    store.dispatch({ type: 'notice', notice: said, say: said });
    await show(offered.view);
  }

  async function show({ pass, camera, measure }) {
    const { folded } = store.state.work;
    if (measure && measure !== store.state.work.measure) store.dispatch({ type: 'choose-measure', measure });
    if (pass && pass !== store.state.work.pass) {
      store.dispatch({ type: 'choose-pass', pass });
      store.dispatch({ type: 'fold-pass', folded });
    }
    // While faces come the view is fitted to them.
    await scene.whole();
    if (camera) scene.flyHome({ ...camera, width: 1, height: 1 });
  }

  return {
    /** True where bytes are those of a review. */
    isReview: (bytes) => isReviewHead(new TextDecoder().decode(new Uint8Array(bytes, 0, Math.min(HEAD_BYTES, bytes.byteLength))), ''),
    /** True where a file is one, or should be by its name. */
    isReviewFile: async (file) => isReviewHead(await file.slice(0, HEAD_BYTES).text().catch(() => ''), file.name),
    /** Opens a file that is one. */
    async openFile(file) {
      if (file.size > MOST_BYTES) return refused(file.name, words.large);
      try {
        take(file.name, await file.text());
      } catch (error) {
        refused(file.name, error.message);
      }
      return undefined;
    },
    /** Calls `read({unit, hidden})` where the open model has to be read otherwise. */
    onReading: (read) => (readAgain = read),
    offer,
    use,
    leave: () => store.dispatch({ type: 'review-offered', offered: null, say: words.left }),
    save() {
      const { model } = store.state.work;
      if (model) saveFile(store, reviewText(store.state, model, scene), `${stem(model.name)}.review.json`, 'application/json');
    },
    /** What was kept and could not be read, as it is. */
    saveBroken() {
      const { broken } = store.state.work.keeping;
      if (broken) saveFile(store, broken.text, `${stem(broken.name)}.kept.json`, 'application/json');
    },
  };
}
