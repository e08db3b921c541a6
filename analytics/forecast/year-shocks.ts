import normalQuantile from '@stdlib/stats-base-dists-normal-quantile';
import { evenChances } from '../numeric/even-chances.ts';
import { exponential, exponentialLessOne } from '../numeric/exponential.ts';
import { type SeededRandom, seededRandom } from '../numeric/seeded-normals.ts';
import type { SegmentKnowledge } from './segment-mixture.ts';

/**
 * Calendar years that are hard or easy on all seals alike: in each draw the hazard of every seal in a year is multiplied by
 * the same gamma variable of mean 1. A draw's hazard is made a little larger first, so that every seal's own chances stay what
 * they were and only what seals share is added: for a gamma m of mean 1 and shape k the mean of exp(-m g) is
 * (1 + g / k)^-k, which is exp(-h) for g = k (exp(h / k) - 1). A seal's own interval needs nothing: its life was fitted over
 * years good and bad.
 */
export interface YearShocks {
  /** One for each draw. */ readonly shape: Float64Array;
  /** Years before the planning year that are told apart; what is older counts as average. */ readonly yearsBack: number;
  /** Row-major, draws x `width`: multipliers of the planning year and the years after it. */
  readonly ahead: Float64Array;
  readonly width: number;
  /** Row-major, draws x (`yearsBack` + 2): sums over the planning year and the years before it, entry n over n years. */
  readonly back: Float64Array;
}

export interface YearShockOptions {
  /** Whole years after the planning year. */ readonly horizonYears: number;
  readonly seed: number;
}

/** Unseen for longer than this, a seal has met years enough to count as average. */
const YEARS_BACK = 25;

/** @param sd of the log of a year's multiplier, one for each draw */
export function yearShocks(sd: Float64Array, { horizonYears, seed }: YearShockOptions): YearShocks {
  const shape = sd.map((s) => 1 / Math.expm1(Math.max(1e-8, s * s)));
  const random = seededRandom(seed);
  const width = horizonYears + 1;
  const ahead = new Float64Array(sd.length * width);
  for (let y = 0; y < width; y++)
    for (const [d, m] of multipliersOfYear(shape, random).entries()) ahead[d * width + y] = m;
  const sums = YEARS_BACK + 2;
  const back = new Float64Array(sd.length * sums);
  for (let n = 1; n < sums; n++) {
    const ofYear = n === 1 ? null : multipliersOfYear(shape, random);
    for (let d = 0; d < sd.length; d++) back[d * sums + n] = back[d * sums + n - 1] + (ofYear?.[d] ?? ahead[d * width]);
  }
  return { shape, yearsBack: YEARS_BACK, ahead, width, back };
}

/**
 * Of one year, one for each draw, spread evenly over the distribution; their mean over the draws is 1. Limits of a gamma variable
 * by the cube of a normal one: their SD is right to 1 in 100 down to a shape of 0.6, and better above.
 * Source: Wilson and Hilferty (Proc. Natl. Acad. Sci. 17, 1931).
 */
function multipliersOfYear(shape: Float64Array, random: SeededRandom): Float64Array {
  const drawn = evenChances(shape.length, random).map((chance, d) => {
    const sd = 1 / (3 * Math.sqrt(shape[d]));
    return Math.max(0, 1 - sd * sd + sd * normalQuantile(chance, 0, 1)) ** 3;
  });
  const mean = drawn.reduce((sum, m) => sum + m, 0) / drawn.length;
  return drawn.map((m) => m / mean);
}

/** g of `YearShocks` for a hazard gathered within one year. */
export const sharedHazard = (hazard: number, shape: number): number => shape * exponentialLessOne(hazard / shape);

/** Survival below this is none. */
const LEAST_SURVIVAL = 1e-12;

/** What years that differ make of the chances of one segment after another. */
export class ShockedFailures {
  private readonly shocks: YearShocks;
  private from = 0;
  private to = 1;
  /** So many even years vary as much as the part years that were not seen. */ private evenYears = 1;

  constructor(shocks: YearShocks) {
    this.shocks = shocks;
  }

  /** Turns to a seal that was last seen `to` years before the end of the planning year; its chances end at `from` before it. */
  turnTo(to: number, from = 0): void {
    this.to = Math.min(this.shocks.yearsBack + 1, Math.max(to, from + 1e-6));
    this.from = Math.min(from, this.to - 1e-6);
    let squares = 0;
    for (let n = Math.floor(this.from); n < this.to; n++)
      squares += (Math.min(this.to, n + 1) - Math.max(this.from, n)) ** 2;
    this.evenYears = (this.to - this.from) ** 2 / squares;
  }

  /**
   * Writes chances of having failed in draw `d`, of which `failed[at + y]` times `share` were those of average years. The first
   * gathers over all years since the seal was last seen, each later one over its own.
   */
  into(out: Float64Array, d: number, failed: Float64Array, share: number, at: number): void {
    let [before, gathered] = [0, 0];
    for (let y = 0; y < out.length; y++) {
      const survival = 1 - failed[at + y] * share;
      if (!(survival > LEAST_SURVIVAL)) {
        out.fill(1, y);
        return;
      }
      const hazard = -Math.log(survival);
      const step = Math.max(0, hazard - before);
      before = Math.max(before, hazard);
      gathered += this.sharedStep(d, y, step);
      out[y] = 1 - exponential(-gathered);
    }
  }

  /**
   * First of so many years by whose end the chance of `into` is above `luck`, or `years` if none: what it has gathered is then
   * above -log(1 - luck), so no more is worked out than that.
   */
  yearOf(luck: number, d: number, failed: Float64Array, share: number, at: number, years: number): number {
    const enough = -Math.log(1 - luck);
    let [before, gathered] = [0, 0];
    for (let y = 0; y < years; y++) {
      const survival = 1 - failed[at + y] * share;
      if (!(survival > LEAST_SURVIVAL)) return y;
      const hazard = -Math.log(survival);
      const step = Math.max(0, hazard - before);
      before = Math.max(before, hazard);
      gathered += this.sharedStep(d, y, step);
      if (gathered > enough) return y;
    }
    return years;
  }

  /** What a hazard of average years gathers in year `y` of draw `d`; the first stands for all years that were not seen. */
  private sharedStep(d: number, y: number, hazard: number): number {
    const { shape, ahead, width } = this.shocks;
    return y === 0
      ? this.sinceSeen(d) * sharedHazard(hazard, shape[d] * this.evenYears)
      : ahead[d * width + y] * sharedHazard(hazard, shape[d]);
  }

  /** Mean multiplier of the years that were not seen. */
  private sinceSeen(d: number): number {
    return (this.sumOf(d, this.to) - this.sumOf(d, this.from)) / (this.to - this.from);
  }

  private sumOf(d: number, years: number): number {
    const { back, yearsBack } = this.shocks;
    const whole = Math.floor(years);
    const at = d * (yearsBack + 2) + whole;
    return years > whole ? back[at] + (years - whole) * (back[at + 1] - back[at]) : back[at];
  }
}

/** Years since each segment was last seen, at the planning date. */
export type LastSeen = Pick<SegmentKnowledge, 'soundAgeYears' | 'planningAgeYears'>;

export const unseenYears = ({ soundAgeYears, planningAgeYears }: LastSeen, i: number): number =>
  Math.max(0, planningAgeYears[i] - Math.max(0, soundAgeYears[i]));
