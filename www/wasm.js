// The wasm module: compiled once here, started here for the renderer, posted to workers.

/* global wasm_bindgen */

import { moduleBytes, single } from './packed.js';
import { texts } from './texts.js';

/** A module of one function, with one vector of 128 bits in it: i32.const 0, i8x16.splat, drop. */
const VECTOR = Uint8Array.of(0, 97, 115, 109, 1, 0, 0, 0, 1, 4, 1, 96, 0, 0, 3, 2, 1, 0, 10, 9, 1, 7, 0, 65, 0, 253, 15, 26, 11);

/** {module, Viewer, vocabulary, links, error}: the core's words for its measures (texts/measures.js); links: writing and reading them (link-verbs.js); error is null, or the reason why there is no module. `home`: where it lies, where that is not beside the page. */
export async function loadModule(home = '') {
  try {
    if (!WebAssembly.validate(VECTOR)) throw new Error(texts.failure.noVectors);
    const module = single ? await WebAssembly.compile(await moduleBytes()) : await compile(`${home}rakelight_bg.wasm`);
    // rakelight.js is a classic script: its only name is the global wasm_bindgen.
    await wasm_bindgen({ module_or_path: module });
    const { Viewer, link_text: linkText, link_read: linkRead } = wasm_bindgen;
    return { module, Viewer, vocabulary: wasm_bindgen.vocabulary(), links: { linkText, linkRead }, error: null };
  } catch (error) {
    return { module: null, Viewer: null, vocabulary: [], links: null, error: String(error?.message ?? error) };
  }
}

async function compile(path) {
  const response = await fetch(path);
  if (!response.ok) throw new Error(`${path}: ${response.status}`);
  const again = response.clone();
  try {
    return await WebAssembly.compileStreaming(response);
  } catch {
    // A host that sends another media type: compile from the bytes.
    return WebAssembly.compile(await again.arrayBuffer());
  }
}
