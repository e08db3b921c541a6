import type { RowSet } from './row-set.ts';

type Kind = 'money' | 'length' | 'failed';

/** Which rows one unit of usage in a district (and kind of facility) and year counts in. */
export class RowIndex {
  readonly #rows: RowSet;
  readonly #lists: Int32Array[];

  constructor(rows: RowSet) {
    this.#rows = rows;
    const { districts, kinds, years } = rows.cells;
    const found: number[][] = Array.from({ length: 3 * districts * kinds * years }, () => NO_ROWS);
    for (let r = 0; r < rows.count; r++) for (const key of this.#keysOf(r)) found[key] = [...found[key], r];
    const none = new Int32Array(0);
    this.#lists = found.map((list) => (list.length === 0 ? none : Int32Array.from(list)));
  }

  /** Rows of money, of length or of failed length. */
  at(of: Kind, district: number, kind: number, year: number): Int32Array {
    return this.#lists[this.#key(of, district, of === 'failed' ? kind : 0, year)];
  }

  #keysOf(r: number): number[] {
    const { of, year, cells } = this.#rows;
    const covered = (asked: number, all: number) => (asked >= 0 ? [asked] : Array.from({ length: all }, (_, x) => x));
    const kinds = of[r] === 'failed' ? covered(this.#rows.kind[r], cells.kinds) : [0];
    return covered(this.#rows.district[r], cells.districts).flatMap((district) =>
      kinds.map((kind) => this.#key(of[r], district, kind, year[r])),
    );
  }

  #key(of: Kind, district: number, kind: number, year: number): number {
    const { districts, kinds, years } = this.#rows.cells;
    const first = of === 'money' ? 0 : of === 'length' ? 1 : 2;
    return ((first * districts + district) * kinds + kind) * years + year;
  }
}

const NO_ROWS: number[] = [];
