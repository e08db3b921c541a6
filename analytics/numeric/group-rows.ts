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
  let size = 16;
  while (size < 2 * rows) size *= 2;
  const slots = new Int32Array(size).fill(-1);
  const number = new Float64Array(1);
  const bits = new Uint32Array(number.buffer);
  let groups = 0;
  for (let row = 0; row < rows; row++) {
    let hash = 0;
    for (let c = 0; c < columns; c++) {
      number[0] = table[row * columns + c] + 0;
      hash = mix(mix(hash, bits[0]), bits[1]);
    }
    let slot = (hash ^ (hash >>> 15)) & (size - 1);
    while (slots[slot] >= 0 && !sameRow(table, columns, firstRow[slots[slot]], row)) slot = (slot + 1) & (size - 1);
    if (slots[slot] < 0) {
      firstRow[groups] = row;
      slots[slot] = groups++;
    }
    groupOf[row] = slots[slot];
  }
  return { groupOf, firstRow: firstRow.slice(0, groups) };
}

const mix = (hash: number, word: number): number => {
  const next = Math.imul(hash ^ word, 0x9e3779b1);
  return next ^ (next >>> 16);
};

function sameRow(table: Float64Array, columns: number, a: number, b: number): boolean {
  for (let c = 0; c < columns; c++) if (table[a * columns + c] !== table[b * columns + c]) return false;
  return true;
}
