export interface RowGroups {
  /** Group of each row; groups are numbered in the order of first appearance. */ readonly groupOf: Int32Array;
  /** One row of each group: the first that was seen. */ readonly firstRow: Int32Array;
}

/**
 * Groups the identical rows of a table (row-major, rows x columns; no NaN; 0 and -0 are the same).
 * A hash table on the bits of the numbers: a text key for each row would take longer than a fit.
 */
export function groupRows(table: Float64Array, rows: number, columns: number): RowGroups {
  const groupOf = new Int32Array(rows);
  const firstRow = new Int32Array(rows);
  const words = new Int32Array(table.buffer, table.byteOffset, 2 * rows * columns);
  // Pairs of a hash and the group plus one, 0 while empty. It grows with the groups, so that few of them stay in cache.
  let slots = new Int32Array(2 * powerOfTwo(rows / 8));
  let groups = 0;
  for (let row = 0; row < rows; row++) {
    const hash = hashOf(table, words, row * columns, columns);
    let slot = firstSlot(slots, hash);
    while (
      slots[slot + 1] > 0 &&
      !(slots[slot] === hash && sameRow(table, columns, firstRow[slots[slot + 1] - 1], row))
    )
      slot = nextSlot(slots, slot);
    if (slots[slot + 1] === 0) {
      firstRow[groups] = row;
      slots[slot] = hash;
      slots[slot + 1] = ++groups;
    }
    groupOf[row] = slots[slot + 1] - 1;
    if (4 * groups > slots.length) slots = widened(slots);
  }
  return { groupOf, firstRow: firstRow.slice(0, groups) };
}

const firstSlot = (slots: Int32Array, hash: number): number => (2 * hash) & (slots.length - 1);
const nextSlot = (slots: Int32Array, slot: number): number => (slot + 2) & (slots.length - 1);

function powerOfTwo(least: number): number {
  let size = 16;
  while (size < least) size *= 2;
  return size;
}

function widened(slots: Int32Array): Int32Array<ArrayBuffer> {
  const wider = new Int32Array(4 * slots.length);
  for (let k = 0; k < slots.length; k += 2) {
    if (slots[k + 1] === 0) continue;
    let slot = firstSlot(wider, slots[k]);
    while (wider[slot + 1] > 0) slot = nextSlot(wider, slot);
    wider[slot] = slots[k];
    wider[slot + 1] = slots[k + 1];
  }
  return wider;
}

/** 0 and -0 differ in their bits, so neither adds any. */
function hashOf(table: Float64Array, words: Int32Array, from: number, columns: number): number {
  let hash = 0;
  for (let k = from; k < from + columns; k++) {
    if (table[k] !== 0) hash = mix(mix(hash, words[2 * k]), words[2 * k + 1]);
    hash = Math.imul(hash, 0xc2b2ae35);
  }
  return hash ^ (hash >>> 16);
}

const mix = (hash: number, word: number): number => {
  const next = hash ^ word;
  return Math.imul(next ^ (next >>> 16), 0x85ebca6b);
};

function sameRow(table: Float64Array, columns: number, a: number, b: number): boolean {
  for (let c = 0; c < columns; c++) if (table[a * columns + c] !== table[b * columns + c]) return false;
  return true;
}
