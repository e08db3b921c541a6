/**
 * Random numbers that belong to a thing and not to the order in which they are asked for: the same seed, key, stream and
 * index give the same number, so that two plans meet the same luck. Whole numbers are mixed by the finaliser of MurmurHash3
 * (public domain, A. Appleby).
 */
function mixed(value: number): number {
  let h = value | 0;
  h = Math.imul(h ^ (h >>> 16), 0x85ebca6b);
  h = Math.imul(h ^ (h >>> 13), 0xc2b2ae35);
  return h ^ (h >>> 16);
}

/** Odd number near 2^32 over the golden ratio: steps by it visit all of a whole number's values evenly. */
const STEP = 0x9e3779b9;

/** Start of a sequence of numbers for one thing. Whole numbers in, whole number out. */
export function keyedSequence(seed: number, key: number, stream: number): number {
  return mixed(mixed(mixed(seed + STEP) ^ key) + Math.imul(stream + 1, STEP));
}

/** Number `index` of a sequence, in (0, 1). */
export function keyedUniform(sequence: number, index: number): number {
  return ((mixed(sequence + Math.imul(index + 1, STEP)) >>> 0) + 0.5) / 4294967296;
}

/** A key for a name: 32-bit FNV-1a over its UTF-16 units (Fowler, Noll and Vo; public domain). */
export function keyOfName(name: string): number {
  let h = 0x811c9dc5;
  for (let i = 0; i < name.length; i++) h = Math.imul(h ^ name.charCodeAt(i), 0x01000193);
  return h | 0;
}
