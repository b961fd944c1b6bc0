// Reading a picture: what the bytes are, how large it is before anything is decoded, and the pixels.

import { texts } from './texts.js';

const words = texts.underlay;

/** Largest file, bytes: far above any photo, and it is held once while it is decoded. */
const MOST_BYTES = 40 * 1024 * 1024;
/** Longest side that is kept, pixels. Devices draw no larger pictures. */
const MOST_SIDE = 8192;
/** Most pixels that are decoded: four bytes each while it is made smaller. A large drawing sheet at 300 dots an inch has 140 million. */
const MOST_PIXELS = 150e6;

/** The pixels of a file as {name, bitmap, width, height}. Throws a sentence for the user where it is no picture. */
export async function readPicture(file) {
  if (file.size > MOST_BYTES) throw new Error(words.tooLong);
  const bytes = new Uint8Array(await file.arrayBuffer());
  const kind = kindOf(bytes);
  if (!kind) throw new Error(isDrawing(bytes) ? words.noSvg : words.noPicture);
  const [width, height] = KINDS[kind](bytes) ?? [0, 0];
  if (!(width > 0 && height > 0)) throw new Error(words.broken);
  if (width * height > MOST_PIXELS) throw new Error(words.tooLarge);
  const bitmap = await decoded(new Blob([bytes], { type: kind }));
  return { name: file.name, bitmap, width: bitmap.width, height: bitmap.height };
}

async function decoded(blob) {
  let whole;
  try {
    whole = await createImageBitmap(blob);
  } catch {
    throw new Error(words.broken);
  }
  const most = Math.max(whole.width, whole.height);
  if (most <= MOST_SIDE) return whole;
  try {
    const side = (x) => Math.max(1, Math.round((x * MOST_SIDE) / most));
    return await createImageBitmap(whole, { resizeWidth: side(whole.width), resizeHeight: side(whole.height), resizeQuality: 'medium' });
  } catch {
    throw new Error(words.tooLarge);
  } finally {
    whole.close();
  }
}

const KINDS = { 'image/png': pngSize, 'image/jpeg': jpegSize, 'image/webp': webpSize };

/** By the first bytes: a name says nothing. */
function kindOf(bytes) {
  const is = (at, ...these) => these.every((x, i) => bytes[at + i] === x);
  if (is(0, 0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a)) return 'image/png';
  if (is(0, 0xff, 0xd8, 0xff)) return 'image/jpeg';
  if (is(0, 0x52, 0x49, 0x46, 0x46) && is(8, 0x57, 0x45, 0x42, 0x50)) return 'image/webp';
  return null;
}

/** A vector drawing in markup, which may carry script. */
const isDrawing = (bytes) => /<svg[\s>]/i.test(new TextDecoder().decode(bytes.subarray(0, 4096)));

const view = (bytes) => new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);

function pngSize(bytes) {
  return bytes.length < 24 ? null : [view(bytes).getUint32(16), view(bytes).getUint32(20)];
}

/** From the first frame header; what stands before it are segments that say how long they are. */
function jpegSize(bytes) {
  const data = view(bytes);
  for (let at = 2; at + 9 <= bytes.length; ) {
    if (bytes[at] !== 0xff) return null;
    const marker = bytes[at + 1];
    if (marker === 0xff) {
      at += 1;
      continue;
    }
    if (marker >= 0xc0 && marker <= 0xcf && ![0xc4, 0xc8, 0xcc].includes(marker)) return [data.getUint16(at + 7), data.getUint16(at + 5)];
    at += 2 + Math.max(2, data.getUint16(at + 2));
  }
  return null;
}

/** By the first chunk: lossy, lossless or extended. */
function webpSize(bytes) {
  if (bytes.length < 30) return null;
  const data = view(bytes);
  const chunk = String.fromCharCode(...bytes.subarray(12, 16));
  if (chunk === 'VP8 ') return [data.getUint16(26, true) & 0x3fff, data.getUint16(28, true) & 0x3fff];
  if (chunk === 'VP8L') {
    const bits = data.getUint32(21, true);
    return [(bits & 0x3fff) + 1, ((bits >>> 14) & 0x3fff) + 1];
  }
  const three = (at) => bytes[at] + (bytes[at + 1] << 8) + (bytes[at + 2] << 16);
  return chunk === 'VP8X' ? [three(24) + 1, three(27) + 1] : null;
}
