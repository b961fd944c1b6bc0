// What is done with an earlier revision: reading it, its review, carrying that over.

import { carriedOver, takenOf } from './carry.js';
import { MOST_BYTES, readReview } from './review-file.js';
import { texts } from './texts.js';

const words = texts.revision;

/** Bytes of a file that was chosen some time ago: on the disk it may be another one by now, which browsers refuse to read. */
const bytesOf = (file) =>
  file.arrayBuffer().catch(() => {
    throw new Error(words.unreadable);
  });

/** `workers`: createWorkers(); `keeping`: createKeeping(). */
export function createEarlier(store, workers, keeping) {
  let asked = null; // {job, review} of the faces that pins lie on
  const now = () => store.state.work.earlier;
  const tell = (notice) => store.dispatch({ type: 'notice', notice });

  async function open(file) {
    store.dispatch({ type: 'earlier-began', file });
    try {
      const bytes = await bytesOf(file);
      if (now()?.file === file) workers.earlier(file.name, bytes);
    } catch (error) {
      if (now()?.file === file) failed(error);
    }
  }

  function failed({ message }) {
    const name = now()?.name ?? '';
    store.dispatch({ type: 'earlier-failed' });
    tell(`${words.failed(name)}: ${message}`);
  }

  /** What became of its findings is there. */
  function known({ record, about }) {
    store.dispatch({ type: 'earlier-known', record, about });
    const { hash, looked } = now() ?? {};
    if (hash && !looked) keeping.keptOf(hash).then((file) => take(hash, file && takenOf(file, null)));
  }

  function take(hash, review) {
    store.dispatch({ type: 'earlier-review', hash, review });
    const taken = now()?.review;
    if (!taken || now().faces || taken.pins.length === 0) return;
    asked = { job: workers.ask('faces-at', { places: taken.pins.flatMap(({ place }) => place) }), review: taken };
  }

  return {
    open,
    failed,
    known,
    facesAt({ job, faces }) {
      if (job === asked?.job) store.dispatch({ type: 'earlier-faces', review: asked.review, faces: [...faces] });
    },
    /** Its file, to be opened beside or held against. */
    file() {
      const { file } = now();
      return { name: file.name, arrayBuffer: () => bytesOf(file) };
    },
    /** Takes its review out of a file; one of other bytes is refused, as its judgements are of other findings. */
    async takeReview(file) {
      const { hash, name } = now();
      try {
        if (file.size > MOST_BYTES) throw new Error(texts.reviewFile.large);
        const read = readReview(await file.text());
        if (read.model.hash !== hash) throw new Error(words.otherReview(read.model.name, name));
        take(hash, takenOf(read, file.name));
      } catch (error) {
        tell(`${texts.reviewFile.refused(file.name)}. ${error.message}`);
      }
    },
    async carry() {
      // What was kept of the open model would come over it.
      await keeping.settled();
      const { count, apart, ...carried } = carriedOver(store.state);
      if (count > 0) store.dispatch({ type: 'carry-review', ...carried, say: words.carried(count) });
    },
  };
}
