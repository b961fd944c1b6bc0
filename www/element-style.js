// How an element looks: one constructed sheet for all, which no policy about styles has a say in.

const text = `
:host {
  --paper: var(--rakelight-paper, light-dark(#f6f2e9, #1c1a17));
  --ink: var(--rakelight-ink, light-dark(#211e19, #ede7da));
  --accent: var(--rakelight-accent, light-dark(#005b9a, #6cc0f0));
  --rule: color-mix(in srgb, var(--ink) 22%, var(--paper));
  --soft: color-mix(in srgb, var(--ink) 72%, var(--paper));
  display: block;
  height: 24rem;
  min-width: 0;
  contain: content;
  font: 400 0.875rem/1.45 var(--rakelight-font, system-ui, -apple-system, 'Segoe UI', Roboto, 'Noto Sans', sans-serif);
}
:host([hidden]), [hidden] { display: none !important; }
* { box-sizing: border-box; }
.frame {
  display: flex;
  flex-direction: column;
  height: 100%;
  background: var(--paper);
  color: var(--ink);
  transition: background-color 1ms, color 1ms;
}
.body { flex: 1; min-height: 0; display: flex; }
.stage { position: relative; flex: 1; min-width: 0; min-height: 0; overflow: hidden; background: var(--rakelight-paper, light-dark(#ece6da, #131210)); }
canvas { position: absolute; inset: 0; width: 100%; height: 100%; cursor: grab; touch-action: pan-y; }
canvas:active { cursor: grabbing; }
canvas:focus { touch-action: none; }
canvas:focus-visible { outline: 2px solid var(--accent); outline-offset: -2px; }
:host([still]) canvas { pointer-events: none; }
.poster { position: absolute; inset: 0; width: 100%; height: 100%; object-fit: contain; pointer-events: none; }
.message, .hint {
  position: absolute;
  inset: auto 0.5rem 0.5rem;
  margin: 0;
  padding: 0.25rem 0.5rem;
  width: fit-content;
  max-width: calc(100% - 1rem);
  max-height: calc(100% - 1rem);
  overflow: auto;
  overflow-wrap: anywhere;
  border: 1px solid var(--rule);
  border-radius: 4px;
  background: var(--paper);
  pointer-events: none;
}
.message.wrong { border-color: #d55e00; border-left-width: 4px; pointer-events: auto; }
.hint { inset: 0.5rem 0.5rem auto; margin-inline: auto; }
.message:empty, .caption:empty { display: none; }
.caption { margin: 0; padding: 0.375rem 0.625rem; border-top: 1px solid var(--rule); color: var(--soft); overflow-wrap: anywhere; }
.bar { display: flex; flex-wrap: wrap; gap: 0.25rem; padding: 0.25rem; border-bottom: 1px solid var(--rule); align-items: center; }
.bar a { margin-inline-start: auto; padding: 0.25rem 0.375rem; }
a { color: var(--accent); }
select, button {
  font: inherit;
  color: inherit;
  background: var(--paper);
  border: 1px solid var(--soft);
  border-radius: 4px;
  padding: 0.1875rem 0.375rem;
  min-height: 1.75rem;
  max-width: 100%;
}
button { cursor: pointer; }
button[aria-expanded='true'] { background: color-mix(in srgb, var(--ink) 12%, var(--paper)); }
:focus-visible { outline: 2px solid var(--accent); outline-offset: 1px; }
.ledger { flex: none; width: min(17rem, 45%); overflow: auto; border-inline-start: 1px solid var(--rule); }
.ledger ol { list-style: none; margin: 0; padding: 0; }
.ledger p { margin: 0; padding: 0.375rem 0.5rem; color: var(--soft); }
.row {
  display: flex;
  gap: 0.5rem;
  width: 100%;
  padding: 0.375rem 0.5rem;
  border: 0;
  border-bottom: 1px solid var(--rule);
  border-radius: 0;
  text-align: start;
  overflow-wrap: anywhere;
}
.row[aria-current='true'] { background: color-mix(in srgb, var(--accent) 18%, var(--paper)); }
.row > span:last-child { min-width: 0; }
.row small { display: block; color: var(--soft); font-size: 0.8125rem; }
.mark { flex: none; width: 5px; border-radius: 1px; background: var(--soft); }
.serious { background: #d55e00; }
.fix { background: repeating-linear-gradient(#e69f00 0 6px, transparent 6px 8px); }
.polish { background: repeating-linear-gradient(#56b4e9 0 3px, transparent 3px 6px); }
.good { background: #009e73; opacity: 0.6; }
.spoken { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); white-space: nowrap; }
@container (max-height: 14rem) {
  .bar { flex-wrap: nowrap; overflow-x: auto; scrollbar-width: none; }
  .bar > * { flex: none; }
}
@container (max-width: 30rem) {
  .body { flex-direction: column; }
  .ledger { width: auto; height: 40%; border-inline-start: 0; border-top: 1px solid var(--rule); }
}
.room { container-type: size; height: 100%; }
`;

let made = null;

/** The sheet for an element's root. */
export function sheet() {
  if (!made) {
    made = new CSSStyleSheet();
    made.replaceSync(text);
  }
  return made;
}
