// Keys of the ledger, in it and on the model: on to the next entry, what is said of the chosen one. Letters act only there, and never
// while one writes.

import { chosenEntry, shownEntries } from './entries.js';
import { markKey, flightTo } from './records.js';
import { texts } from './texts.js';

const words = texts.ledger;

/** Chooses an entry and goes to its place. */
export function goToEntry({ finding, pin }, store, pins, say) {
  if (pin) pins.go(pin, say);
  else store.dispatch({ type: 'choose-finding', finding, flight: flightTo(finding, store.state.work.joins), say });
}

/** The entry `step` further on in the list; the first or the last where none is chosen. */
function stepEntry(step, store, pins) {
  const shown = shownEntries(store.state);
  if (shown.length === 0) return;
  const here = shown.indexOf(chosenEntry(store.state));
  const at = here < 0 ? (step > 0 ? 0 : shown.length - 1) : Math.min(shown.length - 1, Math.max(0, here + step));
  if (store.state.work.ledger.list !== 'findings') store.dispatch({ type: 'choose-list', list: 'findings' });
  goToEntry(shown[at], store, pins, words.at(at + 1, shown.length, shown[at].title));
}

/** Says a state of the chosen entry. */
function say(state, store) {
  const entry = chosenEntry(store.state);
  if (!entry) return;
  const told = `${entry.title}: ${texts.marks.states[state]}.`;
  if (entry.pin) store.dispatch({ type: 'set-pin', key: entry.pin.key, change: { state }, say: told });
  else store.dispatch({ type: 'mark-finding', key: markKey(store.state.work.model.name, entry.finding), change: { state }, say: told });
}

/** Puts the focus on the first of these that is there. */
const reach = (...ids) => ids.map((id) => document.getElementById(id)).find((node) => node?.offsetParent)?.focus();

const KEYS = {
  j: (store, pins) => stepEntry(1, store, pins),
  k: (store, pins) => stepEntry(-1, store, pins),
  ...Object.fromEntries(Object.entries(texts.marks.keys).map(([state, key]) => [key.toLowerCase(), (store) => say(state, store)])),
  e: () => document.getElementById(document.getElementById('mark-ask') ? 'mark-ask' : 'mark-change')?.click(),
  t: () => reach('mark-note', 'pin-text'),
  g(store, pins) {
    const entry = chosenEntry(store.state);
    if (entry) goToEntry(entry, store, pins);
  },
  d: () => document.getElementById('pin-draw')?.click(),
  m: () => document.getElementById('pin-lamps')?.click(),
  i: (store, pins) => pins.aim(true),
  '/'(store) {
    store.dispatch({ type: 'choose-list', list: 'findings' });
    store.dispatch({ type: 'set-ledger', ledger: { more: true } });
    reach('ledger-find');
  },
};

/** In the list, arrows do the same. */
const ARROWS = { ArrowDown: 'j', ArrowUp: 'k' };

/** `nodes`: where they are heard; `list`: the ledger's list. */
export function mountLedgerKeys(nodes, list, store, pins) {
  for (const node of nodes) {
    node.addEventListener('keydown', (event) => {
      const { work } = store.state;
      if (event.ctrlKey || event.metaKey || event.altKey || event.defaultPrevented || !work.model) return;
      if (event.target.matches('input, textarea, select')) return;
      const inList = list.contains(event.target) && work.ledger.list === 'findings';
      const key = (inList && ARROWS[event.key]) || event.key.toLowerCase();
      const act = KEYS[key];
      if (!act) return;
      event.preventDefault();
      const held = document.activeElement;
      act(store, pins);
      if (key !== 'j' && key !== 'k') return;
      // The focus goes along, or stays on the model; on a phone the card takes the list's place.
      if (!node.contains(held) || node.tagName === 'CANVAS') return;
      const row = list.querySelector('[aria-current=true]');
      (row?.offsetParent ? row : document.getElementById('card-close'))?.focus({ preventScroll: true });
    });
  }
}
