import type { RowSet } from './row-set.ts';

/** Which rows one unit of usage in a district (and kind of facility) and year counts in. */
export class RowIndex {
  readonly #lists = new Map<number, Int32Array>();
  readonly #rows: RowSet;

  constructor(rows: RowSet) {
    this.#rows = rows;
    const found = new Map<number, number[]>();
    for (let r = 0; r < rows.count; r++)
      for (const key of this.#keysOf(r)) found.set(key, [...(found.get(key) ?? []), r]);
    for (const [key, list] of found) this.#lists.set(key, Int32Array.from(list));
  }

  /** Rows of money, of length or of failed length. */
  at(of: 'money' | 'length' | 'failed', district: number, kind: number, year: number): Int32Array {
    return this.#lists.get(this.#key(of, district, of === 'failed' ? kind : 0, year)) ?? NONE;
  }

  #keysOf(r: number): number[] {
    const { of, year, cells } = this.#rows;
    const covered = (asked: number, all: number) => (asked >= 0 ? [asked] : Array.from({ length: all }, (_, x) => x));
    const kinds = of[r] === 'failed' ? covered(this.#rows.kind[r], cells.kinds) : [0];
    return covered(this.#rows.district[r], cells.districts).flatMap((district) =>
      kinds.map((kind) => this.#key(of[r], district, kind, year[r])),
    );
  }

  #key(of: 'money' | 'length' | 'failed', district: number, kind: number, year: number): number {
    const { districts, kinds, years } = this.#rows.cells;
    const first = of === 'money' ? 0 : of === 'length' ? 1 : 2;
    return ((first * districts + district) * kinds + kind) * years + year;
  }
}

const NONE = new Int32Array(0);
