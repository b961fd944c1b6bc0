// Elements of one group share camera and lamps: what one is turned to, all are; the rig stands around the first model's middle for all.

import { diagonal } from './records.js';

const groups = new Map(); // name → set of shows

/** All that a show is moved together with, itself among them. */
export const together = (show) => [...(groups.get(show.link) ?? [show])];

/** Puts a show into a group, out of the one it was in; an empty name is none. */
export function join(show, name) {
  const left = groups.get(show.link);
  left?.delete(show);
  if (left?.size === 0) groups.delete(show.link);
  show.link = name || null;
  if (!show.link) {
    show.follow({ rigOf: null });
    return;
  }
  if (!groups.has(name)) groups.set(name, new Set());
  groups.get(name).add(show);
  const lead = leader(show);
  if (lead) follow(lead, show);
}

/** One of the group that shows a model already, or null. */
export const leader = (show) => together(show).find((one) => one !== show && one.model()) ?? null;

/** A show has its model, or will: it is looked at as the others are, or they as it is where that was said of it. */
export function came(show) {
  const lead = leader(show);
  if (lead) follow(lead, show);
  if (!lead || show.said.family) lit(show);
  if (!lead || show.said.view) moved(show);
}

let following = false;

/** A show's camera may have moved. */
export function moved(show) {
  if (following || !show.link || !show.model()) return;
  following = true;
  for (const one of together(show)) if (one !== show) one.scene.setCamera(show.scene.camera());
  following = false;
}

/** A show's lamps may have changed. */
export function lit(show) {
  if (following || !show.link) return;
  following = true;
  for (const one of together(show)) if (one !== show) one.follow({ lamps: show.store.state.review.lamps });
  following = false;
}

function follow(lead, show) {
  const model = lead.model();
  const rigOf = lead.store.state.work.rigOf ?? { size: diagonal(model.summary) || 1000, middle: lead.scene.rigMiddle() };
  show.follow({ lamps: show.said.family ? null : lead.store.state.review.lamps, rigOf });
  if (show.said.view) return;
  following = true;
  show.scene.setCamera(lead.scene.camera());
  following = false;
}
