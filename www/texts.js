// Every word the page shows or speaks, by part of the page. Field terms stay as the trade has them; the rest is our own wording.

import { page } from './texts/page.js';
import { opening } from './texts/opening.js';
import { overview } from './texts/overview.js';
import { highlights } from './texts/highlights.js';
import { form } from './texts/form.js';
import { joins } from './texts/joins.js';
import { combs } from './texts/combs.js';
import { probe } from './texts/probe.js';
import { search } from './texts/search.js';
import { measures } from './texts/measures.js';
import { ledger } from './texts/ledger.js';
import { view } from './texts/view.js';

export const texts = { ...page, ...opening, ...overview, ...highlights, ...form, ...joins, ...combs, ...probe, ...search, ...measures, ...ledger, ...view };
