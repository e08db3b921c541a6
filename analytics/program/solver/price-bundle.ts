import { BundleModel } from './bundle-model.ts';

/** What a plan of one block of the network costs and uses: at prices p it is worth `cost + p . used`, so none is dearer. */
export interface Cut {
  readonly block: number;
  readonly cost: number;
  /** One entry for each row. */ readonly used: Float64Array;
  /** Which answer it came with. */ readonly round: number;
  /** Weight in the mixture of plans that the present prices rest on; those of a block sum to 1. */ weight: number;
}

export interface BundleRows {
  readonly most: Float64Array;
  /** Steps are taken in proportion to what a row is over, as a share of this. */ readonly scale: Float64Array;
  /** Highest price of each row. */ readonly dearest: Float64Array;
}

const MOST_CUTS = 24;
const WORTH_A_STEP = 0.1;

/**
 * Prices of rows by a proximal bundle method, one model for each block: the dual of a separable program is the sum over
 * blocks of the least of all their plans' worth; the bundle holds some plans of each, and the next prices are the best for
 * those, held near the best so far.
 * Source: Kiwiel, Proximity control in bundle methods for convex nondifferentiable minimization, Math. Prog. 46 (1990);
 * the model for each block: Frangioni, Generalized bundle methods, SIAM J. Optim. 13 (2002).
 */
export class PriceBundle {
  readonly #rows: BundleRows;
  #cuts: Cut[] = [];
  /** Best prices so far, and what the dual was there. */ center: Float64Array;
  centerValue = Number.NEGATIVE_INFINITY;
  /** Prices to be tried next. */ trial: Float64Array;
  /** What the model hopes for at the trial. */ hope = Number.POSITIVE_INFINITY;
  #step: number;
  #round = 0;
  #nullSteps = 0;

  constructor(rows: BundleRows, start: Float64Array, step = 1) {
    this.#rows = rows;
    this.center = start.slice();
    this.trial = start.slice();
    this.#step = step;
  }

  get cuts(): readonly Cut[] {
    return this.#cuts;
  }

  /** Answers so far. */
  get rounds(): number {
    return this.#round;
  }

  /**
   * Takes the answer of every block at the trial prices, and finds the next trial. Answers need not be the cheapest plans:
   * a later one that is worth less at the centre lowers what was thought of it.
   */
  answer(cuts: readonly Omit<Cut, 'weight' | 'round'>[]): void {
    this.#forget();
    for (const cut of cuts) this.#cuts.push({ ...cut, round: this.#round, weight: 0 });
    this.#round++;
    const model = new BundleModel(this.#cuts, this.#rows, this.center, this.#step);
    const before = this.#round === 1 ? Number.NEGATIVE_INFINITY : model.valueAt(this.center);
    const value = model.valueAt(this.trial);
    this.centerValue = before;
    if (!(value <= before)) this.#accept(value, before);
    else this.#refuse();
    this.#nextTrial();
  }

  #accept(value: number, before: number): void {
    const gained = value - before;
    const hoped = this.hope - before;
    this.center.set(this.trial);
    this.centerValue = value;
    this.#nullSteps = 0;
    if (!Number.isFinite(before)) return;
    if (gained > 0.5 * hoped) this.#step *= 2;
    else if (gained < WORTH_A_STEP * hoped) this.#step *= 0.7;
  }

  #refuse(): void {
    this.#nullSteps++;
    if (this.#nullSteps % 3 === 0) this.#step *= 0.6;
  }

  /** Cuts that carry the present prices stay; of the others the latest. */
  #forget(): void {
    const blocks = new Map<number, Cut[]>();
    for (const cut of this.#cuts) blocks.set(cut.block, [...(blocks.get(cut.block) ?? []), cut]);
    const kept: Cut[] = [];
    for (const cuts of blocks.values()) {
      cuts.sort((a, b) => Number(b.weight > 1e-9) - Number(a.weight > 1e-9) || b.round - a.round);
      kept.push(...cuts.slice(0, MOST_CUTS));
    }
    this.#cuts = kept;
  }

  #nextTrial(): void {
    const model = new BundleModel(this.#cuts, this.#rows, this.center, this.#step);
    this.hope = model.solve(this.centerValue);
    this.trial.set(model.prices);
  }
}
