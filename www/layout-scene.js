// The Layout pass on the model: patches by role, chains of edges and where they break off.

import { faceTotal } from './records.js';
import { filletClasses } from './scene-fillets.js';
import { breaksOf, chosenChain, picked, roleClasses } from './layout.js';
import { zoneClasses, zonesShown } from './zones.js';

const RING = { ink: 'accent', width: 11, through: true };
/** Of all chains at once: smaller, and not through the model, which would vanish behind them. */
const DOT = { ink: 'accent', width: 6, through: false };

const dots = (viewer, name, points, look) => viewer.set_layer(name, Float64Array.from(points.flat()), new Uint32Array(points.length).fill(1), look);

/** The class of each face: its zone where zones are shown, its role in the Layout pass, elsewhere one that its neighbours have not. */
export function tellClasses(viewer, state) {
  const { work } = state;
  const { pass, layout, form, fillets, model } = work;
  if (zonesShown(work)) viewer.set_classes(zoneClasses(state));
  else if (pass === 'layout' && layout) viewer.set_classes(roleClasses(layout));
  else if (pass === 'fillets' && fillets) viewer.set_classes(filletClasses(fillets, model ? faceTotal(model.summary) : 0));
  else if (form) viewer.set_classes(Uint8Array.from(form.classes));
}

/** The chosen chain thick, all of them thin where they are wanted, and rings where they break off. */
export function tellChains(viewer, { work }) {
  const here = work.pass === 'layout' && work.layout;
  const chains = here ? work.layout.chains : [];
  const chosen = here ? (chains[chosenChain(work)] ?? null) : null;
  const all = here && work.layoutView.all ? chains : [];
  const lines = (name, list, look) => viewer.set_layer(name, Float64Array.from(list.flatMap(({ points }) => points)), Uint32Array.from(list, ({ points }) => points.length / 3), look);
  lines('chains 1', all, { ink: 'dark', width: 2, through: false });
  lines('chains 2', chosen ? [chosen] : [], { ink: 'second', width: 6, through: true });
  const { spot } = here ? picked(work) : { spot: null };
  dots(viewer, 'chains 3', all.flatMap(breaksOf), DOT);
  dots(viewer, 'chains 4', [...(chosen ? breaksOf(chosen) : []), ...(spot ? [spot] : [])], RING);
}
