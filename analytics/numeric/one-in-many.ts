/**
 * Whether row `i` is among about one in `many` that stand for all. Picked by a hash of its place: every so many rows in order
 * would meet records that repeat, such as the joints of a slab, always at the same one.
 */
export const isOneIn = (many: number, i: number): boolean =>
  many === 1 ||
  ((Math.imul(i + 1, 0x9e3779b1) >>> 0) ^ (Math.imul(i + 1, 0x85ebca6b) >>> 15)) >>> 0 < 0x100000000 / many;
