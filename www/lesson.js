// <rakelight-lesson>: one or two <rakelight-view> and an ordered set of <rakelight-step>, each with text and what is to be seen with it.

import { el } from './dom.js';
import { lesson } from './texts/lesson.js';

const words = lesson.lesson;

/** What a step may say of a view; each is an attribute of the view too. What it does not say is as the last step before left it. */
const SAYS = ['src', 'family', 'pass', 'view'];
/** What moves a step on or back while the focus is in the lesson, but not in what has arrow keys of its own. */
const KEYS = { ArrowRight: 1, ArrowLeft: -1 };
const OWN_KEYS = 'rakelight-view, input, textarea, select, [contenteditable]';

const text = `
:host {
  --paper: var(--rakelight-paper, light-dark(#f6f2e9, #1c1a17));
  --ink: var(--rakelight-ink, light-dark(#211e19, #ede7da));
  --accent: var(--rakelight-accent, light-dark(#005b9a, #6cc0f0));
  --rule: color-mix(in srgb, var(--ink) 22%, var(--paper));
  display: block;
  min-width: 0;
  container-type: inline-size;
  font: 400 0.9375rem/1.5 var(--rakelight-font, system-ui, -apple-system, 'Segoe UI', Roboto, 'Noto Sans', sans-serif);
}
:host([hidden]) { display: none; }
* { box-sizing: border-box; }
.lesson { background: var(--paper); color: var(--ink); border: 1px solid var(--rule); border-radius: 4px; overflow: hidden; }
.views { display: grid; grid-auto-flow: column; grid-auto-columns: minmax(0, 1fr); gap: 1px; background: var(--rule); }
.views ::slotted(*) { height: var(--rakelight-lesson-height, 22rem); }
.text { display: grid; padding: 0.75rem 1rem; border-top: 1px solid var(--rule); }
/* All steps lie on one place, so that it is as high as the longest and nothing jumps. */
.text ::slotted(*) { grid-area: 1 / 1; display: block; }
.text ::slotted(:not([current])) { visibility: hidden; }
.bar { display: flex; align-items: center; gap: 0.75rem; padding: 0 1rem 0.75rem; }
button {
  min-width: 5.5rem;
  min-height: 2.75rem;
  font: inherit;
  color: inherit;
  background: none;
  border: 1px solid var(--ink);
  border-radius: 4px;
  cursor: pointer;
}
.next { background: var(--ink); color: var(--paper); }
button[aria-disabled='true'] { opacity: 0.5; cursor: default; }
button:focus-visible { outline: 2px solid var(--accent); outline-offset: 2px; }
.count { font-variant-numeric: tabular-nums; }
.spoken { position: absolute; width: 1px; height: 1px; margin: 0; overflow: hidden; clip-path: inset(50%); white-space: nowrap; }
@container (max-width: 36rem) {
  .views { grid-auto-flow: row; }
  .views ::slotted(*) { height: var(--rakelight-lesson-height, 15rem); }
  .bar { justify-content: space-between; }
}
`;

let sheet = null;

function sheetOnce() {
  if (!sheet) {
    sheet = new CSSStyleSheet();
    sheet.replaceSync(text);
  }
  return sheet;
}

class RakelightLesson extends HTMLElement {
  static observedAttributes = ['step'];

  #slots = null;
  #buttons = null;
  #count = null;
  #spoken = null;
  #views = [];
  #steps = [];
  #began = new WeakMap(); // view → what its attributes said at first
  #watch = null;
  #shown = 0; // 0: none yet
  #turn = 0;

  constructor() {
    super();
    const root = this.attachShadow({ mode: 'open', slotAssignment: 'manual' });
    root.adoptedStyleSheets = [sheetOnce()];
    this.#slots = { rest: el('slot'), views: el('slot'), steps: el('slot') };
    const button = (by, name) =>
      el('button', { type: 'button', part: `button ${name}`, class: name, on: { click: () => this.#go(this.#shown + by) } }, words[name]);
    this.#buttons = { back: button(-1, 'back'), next: button(1, 'next') };
    this.#count = el('span', { part: 'count', class: 'count' });
    this.#spoken = el('p', { class: 'spoken', role: 'status' });
    root.append(
      this.#slots.rest,
      el(
        'section',
        { class: 'lesson', part: 'lesson', 'aria-label': words.label },
        el('div', { class: 'views', part: 'views' }, this.#slots.views),
        el('div', { class: 'text', part: 'text' }, this.#slots.steps),
        el('div', { class: 'bar', part: 'bar', role: 'group', 'aria-label': words.steps }, this.#buttons.back, this.#count, this.#buttons.next),
        this.#spoken,
      ),
    );
    this.addEventListener('keydown', (event) => this.#key(event));
  }

  connectedCallback() {
    if (Object.hasOwn(this, 'step')) {
      const { step } = this;
      delete this.step;
      this.step = step;
    }
    this.#watch ??= new MutationObserver(() => this.#gather());
    this.#watch.observe(this, { childList: true });
    this.#gather();
  }

  disconnectedCallback() {
    this.#watch?.disconnect();
  }

  attributeChangedCallback() {
    if (this.#shown > 0) this.#show(this.#asked(), true);
  }

  /** Number of the step that is shown, from 1; setting it goes there. */
  get step() {
    return this.#shown || this.#asked();
  }

  set step(number) {
    this.setAttribute('step', String(number));
  }

  /** How many steps there are. */
  get steps() {
    return this.#steps.length;
  }

  /** The number that the attribute asks for, within those that there are. */
  #asked() {
    return Math.min(Math.max(1, Math.trunc(Number(this.getAttribute('step'))) || 1), Math.max(1, this.#steps.length));
  }

  #go(number) {
    const within = Math.min(Math.max(1, number), this.#steps.length);
    if (within !== this.#shown) this.step = within;
  }

  #key(event) {
    const by = KEYS[event.key];
    if (!by || event.defaultPrevented || event.ctrlKey || event.altKey || event.metaKey || event.shiftKey) return;
    if (event.composedPath().some((node) => node instanceof Element && node.matches(OWN_KEYS))) return;
    event.preventDefault();
    this.#go(this.#shown + by);
  }

  /** Takes the children as they are now. */
  #gather() {
    const children = [...this.children];
    this.#steps = children.filter((child) => child.localName === 'rakelight-step');
    this.#views = children.filter((child) => child.localName === 'rakelight-view').slice(0, 2);
    this.#slots.views.assign(...this.#views);
    this.#slots.steps.assign(...this.#steps);
    this.#slots.rest.assign(...children.filter((child) => !['rakelight-step', 'rakelight-view'].includes(child.localName)));
    for (const view of this.#views) {
      if (!this.#began.has(view)) this.#began.set(view, Object.fromEntries(SAYS.map((name) => [name, view.getAttribute(name)])));
    }
    if (this.#steps.length > 0) this.#show(this.#asked(), false);
  }

  /** `aloud`: somebody went there. */
  #show(number, aloud) {
    const step = this.#steps[number - 1];
    if (!step) return;
    const moved = number !== this.#shown;
    this.#shown = number;
    this.#turn += 1;
    for (const one of this.#steps) one.toggleAttribute('current', one === step);
    const all = this.#steps.length;
    this.#count.textContent = words.of(number, all);
    // Still there for the focus: a button that goes away takes it along.
    this.#buttons.back.setAttribute('aria-disabled', String(number === 1));
    this.#buttons.next.setAttribute('aria-disabled', String(number === all));
    for (const view of this.#views) this.#pose(view, number);
    if (!aloud || !moved) return;
    this.#spoken.textContent = words.said(number, all, step.textContent.replace(/\s+/g, ' ').trim());
    this.dispatchEvent(new CustomEvent('rakelight-step', { bubbles: true, composed: true, detail: { step: number, steps: all } }));
  }

  /** Shows in one view what the steps up to this one say of it. */
  #pose(view, number) {
    const step = this.#steps[number - 1];
    for (const name of SAYS) {
      const saying = this.#steps.slice(0, number).filter((one) => one.hasAttribute(name) && this.#means(one, view, name));
      const last = saying.at(-1);
      const wanted = last ? last.getAttribute(name) : (this.#began.get(view)?.[name] ?? null);
      if (wanted !== view.getAttribute(name)) {
        if (wanted === null) view.removeAttribute(name);
        else view.setAttribute(name, wanted);
      } else if (last === step && name !== 'src') {
        // Turned by hand, or chosen in the view's own bar meanwhile.
        if (name === 'view') view.setView?.(wanted);
        else view.removeAttribute(name), view.setAttribute(name, wanted);
      }
    }
    if (step.hasAttribute('choose') && this.#means(step, view, 'choose')) this.#choose(view, step.getAttribute('choose'));
  }

  /** Whether a step is about a view. Linked views look the same way, so that what moves one is about the others too. */
  #means(step, view, name) {
    const ids = (step.getAttribute('for') ?? '').split(/\s+/).filter(Boolean);
    if (ids.length === 0 || ids.includes(view.id)) return true;
    const link = view.getAttribute('link');
    return name === 'view' && Boolean(link) && this.#views.some((one) => ids.includes(one.id) && one.getAttribute('link') === link);
  }

  /** Chooses an entry of the view's ledger once it is there: by its key, or the worst of a measure. */
  async #choose(view, wanted) {
    const mine = this.#turn;
    await customElements.whenDefined('rakelight-view');
    await view.ready?.catch(() => null);
    if (mine !== this.#turn) return;
    const entry = view.findings?.().find(({ key, measure }) => key === wanted || measure === wanted);
    if (entry) view.choose(entry.key);
  }
}

/** Only holds its text and says what is to be seen with it. */
class RakelightStep extends HTMLElement {}

/** Makes both elements known, once. */
export function defineLesson() {
  if (customElements.get('rakelight-lesson')) return;
  customElements.define('rakelight-step', RakelightStep);
  customElements.define('rakelight-lesson', RakelightLesson);
}
