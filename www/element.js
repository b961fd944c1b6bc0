// The entry of the page's elements: <rakelight-view> shows a model in any page, of this origin or another. How to use it: embedding.html.
// This is the only file that asks where it lies; everything else of the site is found from there.

import { makeBar } from './element-bar.js';
import { createShow, fromAddress, textFrom } from './element-show.js';
import { beginAt, ours } from './element-stage.js';
import { sheet } from './element-style.js';
import { mountCameraInput } from './camera-input.js';
import { el } from './dom.js';
import { defineLesson } from './lesson.js';
import { nameOf } from './open.js';
import { texts } from './texts.js';

const words = texts.element;

/** Attributes, each a property of the same name. */
const NAMES = ['src', 'review', 'view', 'family', 'pass', 'controls', 'poster', 'loading', 'caption', 'link', 'zone'];
/** Those that bring the model anew. */
const BRINGS = ['src', 'review', 'zone'];
/** How long the hint about the wheel stays, ms. Shorter cannot be read. */
const HINT = 2500;

beginAt(new URL('.', import.meta.url).href);

class RakelightView extends HTMLElement {
  static observedAttributes = [...NAMES, 'still'];

  #show = null; // while it is in a page
  #near = false; // of the window, or asked for
  #asked = null; // AbortController of the model on its way or shown
  #waiting = false; // a load is due at the end of this task
  #ready = null; // {promise, resolve, reject}
  #model = null;
  #reviewData = null;
  #shown = null; // summary of what is shown
  #failed = false; // nothing is shown, since that could not be
  #trouble = ''; // what went wrong on the way to what is shown
  #parts = null;
  #watch = null;

  constructor() {
    super();
    const root = this.attachShadow({ mode: 'open' });
    root.adoptedStyleSheets = [sheet()];
    const canvas = el('canvas', { part: 'canvas', tabindex: '0', role: 'application' });
    const poster = el('img', { part: 'poster', class: 'poster', alt: '', hidden: true });
    const message = el('p', { part: 'message', class: 'message', role: 'status' });
    const hint = el('p', { class: 'hint', 'aria-hidden': 'true', hidden: true }, words.hint);
    const body = el('div', { class: 'body' }, el('div', { class: 'stage' }, canvas, poster, message, hint));
    const caption = el('p', { part: 'caption', class: 'caption' });
    const frame = el('div', { part: 'frame', class: 'frame' }, body, caption);
    root.append(el('div', { class: 'room' }, frame));
    this.#parts = { canvas, poster, message, hint, body, caption, frame };
    this.#promise();
  }

  connectedCallback() {
    // Set before this file was there.
    for (const name of [...NAMES, 'still', 'model', 'reviewData']) {
      if (!Object.hasOwn(this, name)) continue;
      const value = this[name];
      delete this[name];
      this[name] = value;
    }
    if (this.#show) return; // moved within the page
    this.#begin();
    this.#near = this.loading === 'eager';
    this.#watch = new IntersectionObserver(([...seen]) => this.#seen(seen.at(-1).isIntersecting), { rootMargin: '100% 0px' });
    this.#watch.observe(this);
    for (const name of ['family', 'pass', 'controls', 'poster', 'caption', 'link']) this.#take(name);
    this.#load();
  }

  disconnectedCallback() {
    queueMicrotask(() => {
      if (this.isConnected || !this.#show) return;
      this.#asked?.abort();
      this.#watch.disconnect();
      this.#show.end();
      this.#parts.end();
      this.#anew();
      this.#waiting = false;
      this.#show = this.#watch = null;
    });
  }

  attributeChangedCallback(name, before, now) {
    if (!this.#show || before === now) return;
    if (BRINGS.includes(name)) this.#load();
    else this.#take(name);
  }

  get model() {
    return this.#model;
  }

  /** A File, a Blob or an ArrayBuffer, with a `name` where it has one. */
  set model(model) {
    this.#model = model ?? null;
    this.#load();
  }

  get reviewData() {
    return this.#reviewData;
  }

  /** What a saved review file holds, as an object. */
  set reviewData(data) {
    this.#reviewData = data ?? null;
    this.#load();
  }

  get still() {
    return this.hasAttribute('still');
  }

  set still(on) {
    this.toggleAttribute('still', Boolean(on));
  }

  /** Resolves with {name, faces, joins} when the model is there; rejects where there will be none. */
  get ready() {
    return this.#ready.promise;
  }

  /** The ledger: [{key, title, severity, state, faces, measure, value, unit, place, note}], the worst first. */
  findings() {
    return this.#shown ? this.#show.findings() : [];
  }

  /** Fits the model into the frame. */
  fit() {
    this.#show?.first();
    this.#show?.scene.fit();
  }

  /** Flies to a view: a name, numbers as in the attribute, or a camera record. False where it is none. */
  setView(view) {
    this.#show?.first();
    return this.#show?.setView(view) ?? false;
  }

  /** Chooses an entry of the ledger by its key; false where there is none. */
  choose(key) {
    return this.#shown ? this.#show.choose(key) : false;
  }

  /** A picture of a size in pixels, as a Blob. */
  picture(width, height) {
    if (!this.#show) return Promise.reject(new Error(words.noModel));
    return this.#show.picture(width, height);
  }

  /** Brings the model anew. */
  reload() {
    this.#load();
    return this.ready;
  }

  /** Lets go of the model and of all that is kept for it, until something is set again. */
  close() {
    this.#asked?.abort();
    this.#asked = null;
    this.#anew();
    this.#waiting = false;
    this.#show?.close();
    this.#say('');
  }

  #promise() {
    const { promise, resolve, reject } = Promise.withResolvers();
    promise.catch(() => {}); // told by an event as well
    this.#ready = { promise, resolve, reject };
  }

  /** A show of its own, and what listens to the hand. */
  #begin() {
    const { canvas, frame, body, hint } = this.#parts;
    const gone = new AbortController();
    const { signal } = gone;
    this.#show = createShow(canvas, () => this.#near, {
      progress: ({ stage, done, total }) => {
        if (this.#shown) return;
        this.#say(words.stages[stage] ?? '');
        this.#tell('progress', { stage, done, total });
      },
      picture: () => this.#shown && (this.#parts.poster.hidden = true),
      error: (detail) => this.#wrong(detail),
      view: (detail) => this.#tell('view', detail),
      choice: (detail) => this.#tell('choice', detail),
    });
    const show = this.#show;
    for (const type of ['pointerdown', 'keydown', 'wheel']) canvas.addEventListener(type, () => show.first(), { signal, passive: true });
    // A finger that scrolls the page is none that turns the model.
    canvas.addEventListener('pointercancel', () => canvas.blur(), { signal });
    let hinted = 0;
    const wheels = (event) => {
      const ours = event.ctrlKey || event.metaKey || this.shadowRoot.activeElement === canvas;
      if (!ours) {
        hint.hidden = false;
        clearTimeout(hinted);
        hinted = setTimeout(() => (hint.hidden = true), HINT);
      }
      return ours;
    };
    mountCameraInput(canvas, show.scene, () => this.#letGo(), wheels, signal);
    // Paper and ink may change with the page around, which nobody is told of otherwise.
    frame.addEventListener('transitionend', ({ target }) => target === frame && this.#paper(), { signal });
    this.#paper();
    const bar = makeBar(show, () => this.#inspector());
    frame.prepend(bar.bar);
    body.append(bar.rows);
    this.#parts.bar = bar;
    show.store.watch(
      ({ work }) => [work.graphics],
      ({ work }) => work.graphics === 'lost' && this.#say(texts.graphics.lost, true),
    );
    show.store.subscribe(({ work }, before) => before.work.graphics === 'lost' && work.graphics === 'ok' && this.#say(''));
    this.#parts.end = () => {
      gone.abort();
      bar.bar.remove();
      bar.rows.remove();
    };
  }

  #paper() {
    const { backgroundColor, color } = getComputedStyle(this.#parts.frame);
    this.#show.store.dispatch({ type: 'choose-theme', theme: `${backgroundColor} ${color}` });
  }

  #letGo() {
    const { store } = this.#show;
    if (Object.values(store.state.work.selection).some((id) => id !== null)) store.dispatch({ type: 'choose-nothing' });
    else this.#parts.canvas.blur();
  }

  #seen(near) {
    const before = this.#near;
    this.#near = near;
    if (near && !before && this.#waiting === 'far') this.#load();
    if (!near) this.#show?.sleep();
  }

  /** What was there is no more: another promise for what comes. */
  #anew() {
    if (this.#shown || this.#failed) this.#promise();
    this.#shown = null;
    this.#failed = false;
    this.#trouble = '';
  }

  /** Brings the model at the end of this task, so that several attributes are one load. */
  #load() {
    if (!this.#show) return;
    this.#asked?.abort();
    this.#asked = null;
    this.#anew();
    if (this.#waiting === true) return;
    this.#waiting = true;
    queueMicrotask(() => {
      if (this.#waiting !== true || !this.#show) return;
      this.#waiting = false;
      this.#poster();
      if (!this.#near) this.#waiting = 'far';
      else this.#open();
    });
  }

  async #open() {
    const ready = this.#ready;
    const mine = new AbortController();
    this.#asked = mine;
    try {
      const model = this.#modelGiven();
      if (!model) {
        this.#show.close();
        this.#say('');
        return;
      }
      this.#say(words.fetch);
      const { canvas } = this.#parts;
      canvas.setAttribute('aria-label', `${words.label} ${model.name}`);
      canvas.setAttribute('aria-description', words.keys);
      const said = (name) => (this.hasAttribute(name) ? this.getAttribute(name) : null);
      const wish = { model, review: this.#reviewGiven(), zone: said('zone'), view: said('view'), family: said('family'), pass: said('pass') };
      const summary = await this.#show.open(wish, mine.signal);
      if (mine.signal.aborted) return;
      this.#shown = summary;
      this.#say(this.#trouble, this.#trouble !== '');
      ready.resolve(summary);
      this.#tell('ready', summary);
    } catch (error) {
      if (mine.signal.aborted) return;
      const { message, entity = null, line = null } = error;
      this.#wrong({ message: words.failed(this.#name(), message), entity, line });
      this.#failed = true;
      ready.reject(error);
    }
  }

  #modelGiven() {
    const given = this.#model;
    if (given) {
      const name = this.#name();
      return { name, bring: () => (given instanceof ArrayBuffer ? given.slice(0) : given.arrayBuffer()) };
    }
    const src = this.getAttribute('src');
    return src ? { name: this.#name(), bring: fromAddress(address(src)) } : null;
  }

  #name() {
    if (this.#model) return String(this.#model.name ?? words.label);
    const src = this.getAttribute('src');
    try {
      return nameOf(address(src));
    } catch {
      return String(src);
    }
  }

  #reviewGiven() {
    const data = this.#reviewData;
    if (data) return { bring: () => data };
    const src = this.getAttribute('review');
    return src ? { bring: (signal) => textFrom(address(src))(signal) } : null;
  }

  /** The model's address in the inspector; null where it has none that another page could fetch. */
  #inspector() {
    const src = this.getAttribute('src');
    if (this.#model || !src) return null;
    try {
      const { protocol, href } = address(src);
      return /^https?:$/.test(protocol) ? `${ours('')}?model=${encodeURIComponent(href)}` : null;
    } catch {
      return null;
    }
  }

  /** What needs no other model. */
  #take(name) {
    const value = this.getAttribute(name) ?? '';
    const { caption, bar } = this.#parts;
    if (name === 'caption') caption.textContent = value;
    else if (name === 'controls') bar.show(value === 'full');
    else if (name === 'link') this.#show.join(value);
    else if (name === 'poster') this.#poster();
    else if (name === 'family') this.#show.family(value);
    else if (name === 'pass') this.#show.pass(value);
    else if (name === 'view' && this.#shown) this.setView(value);
    else if (name === 'loading' && value === 'eager' && this.#waiting === 'far') this.#seen(true);
    else if (name === 'still') this.#parts.canvas.tabIndex = this.still ? -1 : 0;
  }

  #poster() {
    const { poster } = this.#parts;
    const src = this.getAttribute('poster');
    poster.hidden = !src || this.#shown !== null;
    if (src) poster.src = src;
    else poster.removeAttribute('src');
  }

  #wrong({ message, entity, line }) {
    const place = words.place(entity, line);
    this.#trouble = place ? `${message} (${place})` : message;
    this.#say(this.#trouble, true);
    this.#tell('error', { message, entity, line });
  }

  #say(text, wrong = false) {
    const { message } = this.#parts;
    message.classList.toggle('wrong', wrong);
    message.textContent = text;
  }

  #tell(what, detail) {
    this.dispatchEvent(new CustomEvent(`rakelight-${what}`, { bubbles: true, composed: true, detail }));
  }
}

for (const name of NAMES) {
  Object.defineProperty(RakelightView.prototype, name, {
    configurable: true,
    enumerable: true,
    get() {
      return this.getAttribute(name) ?? '';
    },
    set(value) {
      // A camera's record has no text that a reader would want.
      if (name === 'view' && typeof value === 'object' && value !== null) this.setView(value);
      else if (value === null || value === undefined) this.removeAttribute(name);
      else this.setAttribute(name, String(value));
    },
  });
}

/** An address that may be fetched, from one as an attribute has it. */
function address(text) {
  let url = null;
  try {
    url = new URL(text, document.baseURI);
  } catch {
    // Said below.
  }
  if (!url || !['https:', 'http:', 'blob:', 'data:'].includes(url.protocol)) throw new Error(words.noAddress(text));
  return url;
}

if (!customElements.get('rakelight-view')) customElements.define('rakelight-view', RakelightView);
defineLesson();
