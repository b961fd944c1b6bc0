// What is done with links: making one of what is shown, and opening one that the page's address has.

import { isLink, linkRecord, offeredOf } from './link.js';
import { MOST_TRIED, pack } from './link-pack.js';
import { isOf } from './review-file.js';
import { texts } from './texts.js';

const words = texts.link;

/** A link with the model inside has fewer characters after its #: more is cut on the way too often. */
const MOST_PACKED = 30_000;

export function createLinks(store, scene, commands, reviews) {
  let codec = null; // {linkText(record), linkRead(text)}: the core's
  let asked = () => {};
  let shown = null; // {fragment, offered}: a link whose review waits

  // Used or left: when the page is loaded anew, what was made of it since counts, and the link only says what model to open.
  store.subscribe(({ work }) => {
    if (!shown || work.offered === shown.offered) return;
    const { fragment } = shown;
    shown = null;
    if (work.offered !== null || location.hash !== fragment) return;
    try {
      history.replaceState({ used: fragment }, '');
    } catch {
      // Some frames have no history of their own.
    }
  });

  function bringModel({ source }, name) {
    if (source === 'demo') commands.openDemo();
    else if (source.address !== undefined) store.dispatch({ type: 'ask-consent', address: source.address });
    else if (source.packed !== undefined) commands.openPacked(name, Uint8Array.from(source.packed));
  }

  /** The model's bytes with gzip, where they are at hand and few. */
  async function packed(bring, size) {
    if (size > MOST_TRIED) return null;
    try {
      const bytes = await bring(new AbortController().signal, () => {});
      return bytes.byteLength === size ? await pack(bytes) : null;
    } catch {
      return null; // The file has gone or changed.
    }
  }

  const text = (source) => codec.linkText(linkRecord(store.state, scene.bound(), source));

  return {
    /** Takes the core's functions. */
    start: (functions) => (codec = functions),
    /** Calls `show()` when somebody wants a link. */
    onAsk: (show) => (asked = show),
    ask: () => store.state.work.model && codec && asked(),
    /**
     * A link to what is shown: {address, length, source: 'demo', 'own', 'packed' or {address}, packable: the model could be inside}.
     * `inside`: it is to be, if it can. Throws an Error with a sentence.
     */
    async make(inside) {
      const { model } = store.state.work;
      const { from, bring } = commands.source();
      const bytes = from === 'own' ? await packed(bring, model.size) : null;
      if (store.state.work.model !== model) throw new Error('');
      const page = new URL(location.href);
      page.search = page.hash = '';
      const link = (source, fragment, packable) => ({ address: `${page.href}#${fragment}`, source, packable });
      try {
        const full = bytes && text({ packed: Array.from(bytes) });
        const packable = full !== null && full.length < MOST_PACKED;
        return packable && inside ? link('packed', full, true) : link(from, text(from), packable);
      } catch (error) {
        throw new Error(String(error?.message ?? error), { cause: error });
      }
    },
    /** Opens the link that a fragment is; false where it is none. `bring`: its model is opened too. */
    open(fragment, bring = true) {
      if (!isLink(fragment)) return false;
      let record;
      let offered;
      try {
        record = codec.linkRead(fragment);
        offered = offeredOf(record);
      } catch (error) {
        const message = String(error?.message ?? error);
        store.dispatch({ type: 'review-refused', failure: { title: words.refused, message, advice: words.advice } });
        return true;
      }
      if (history.state?.used !== fragment) {
        shown = { fragment, offered };
        reviews.offer(offered);
      }
      if (bring && !isOf(offered, store.state.work.model)) bringModel(offered.link, offered.model.name);
      return true;
    },
  };
}
