// A model as few bytes, for a link that has it inside, and back.

import { texts } from './texts.js';

/** Largest model that packing is tried on, bytes: text of models packs to a fifth or so, and a link holds some twenty thousand. */
export const MOST_TRIED = 2_000_000;

/** Most bytes that are unpacked. Gzip can make a thousand of one. */
const MOST = 32_000_000;

/** Bytes packed with gzip. */
export async function pack(bytes) {
  const packed = new Blob([bytes]).stream().pipeThrough(new CompressionStream('gzip'));
  return new Uint8Array(await new Response(packed).arrayBuffer());
}

/** Bytes that `pack` gave, unpacked, as an ArrayBuffer. Throws an Error with a sentence. */
export async function unpack(packed) {
  const reader = new Blob([packed]).stream().pipeThrough(new DecompressionStream('gzip')).getReader();
  const parts = [];
  let size = 0;
  for (;;) {
    const { done, value } = await reader.read().catch(() => {
      throw new Error(texts.link.broken);
    });
    if (done) break;
    size += value.byteLength;
    if (size > MOST) {
      reader.cancel().catch(() => {});
      throw new Error(texts.link.large);
    }
    parts.push(value);
  }
  return new Blob(parts).arrayBuffer();
}
