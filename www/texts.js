// Every word the page shows or speaks, by part of the page. Field terms stay as the trade has them; the rest is our own wording.

import { page } from './texts/page.js';
import { opening } from './texts/opening.js';
import { overview } from './texts/overview.js';
import { revision } from './texts/revision.js';
import { fillets } from './texts/fillets.js';
import { layout } from './texts/layout.js';
import { highlights } from './texts/highlights.js';
import { form } from './texts/form.js';
import { joins } from './texts/joins.js';
import { checklist } from './texts/checklist.js';
import { centre } from './texts/centre.js';
import { combs } from './texts/combs.js';
import { probe } from './texts/probe.js';
import { sections } from './texts/sections.js';
import { reference } from './texts/reference.js';
import { sweep } from './texts/sweep.js';
import { underlay } from './texts/underlay.js';
import { rows } from './texts/rows.js';
import { gaps } from './texts/gaps.js';
import { single } from './texts/single.js';
import { search } from './texts/search.js';
import { link } from './texts/link.js';
import { lines } from './texts/lines.js';
import { making } from './texts/making.js';
import { measures } from './texts/measures.js';
import { ledger } from './texts/ledger.js';
import { reviewFile } from './texts/review-file.js';
import { offline } from './texts/offline.js';
import { trials } from './texts/trials.js';
import { verdict } from './texts/verdict.js';
import { view } from './texts/view.js';
import { zoning } from './texts/zoning.js';
import { pins } from './texts/pins.js';
import { element } from './texts/element.js';

export const texts = { ...page, ...opening, ...overview, ...revision, ...layout, ...fillets, ...gaps, ...highlights, ...form, ...joins, ...centre, ...combs, ...probe, ...sections, ...reference, ...sweep, ...underlay, ...checklist, ...rows, ...search, ...single, ...lines, ...making, ...measures, ...ledger, ...pins, ...reviewFile, ...link, ...offline, ...trials, ...verdict, ...view, ...zoning, ...element };
