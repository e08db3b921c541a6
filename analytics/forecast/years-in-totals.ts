import { exponential } from '../numeric/exponential.ts';
import { isOneIn } from '../numeric/one-in-many.ts';
import { type LastSeen, ShockedFailures, sharedHazard, unseenYears, type YearShocks } from './year-shocks.ts';

/** Segments of a group that stand for all of it: the ratio of two sums over the same ones varies little between them. */
const MOST_SEGMENTS = 32;
const LEAST_SURVIVAL = 1e-300;
/** What falls due of less than this is what rounding left. */
const LEAST_LENGTH_M = 1e-6;

/**
 * What years that differ make of a group's first failures: their ratio to those of average years, by draw and year, from some
 * of the segments.
 */
export class YearRatios {
  private readonly known: LastSeen;
  private readonly shocked: ShockedFailures;
  private readonly yearLeft: number;
  private readonly years: number;
  private readonly average: Float64Array;
  private readonly sums: Float64Array;
  private readonly chances: Float64Array;
  private oneIn = 1;

  constructor(known: LastSeen, shocks: YearShocks, { yearLeft, years }: { yearLeft: number; years: number }) {
    this.known = known;
    this.shocked = new ShockedFailures(shocks);
    this.yearLeft = yearLeft;
    this.years = years;
    this.average = new Float64Array(shocks.shape.length * years);
    this.sums = new Float64Array(shocks.shape.length * years);
    this.chances = new Float64Array(years);
  }

  begin(segments: number): void {
    this.oneIn = Math.ceil(segments / MOST_SEGMENTS);
    this.average.fill(0);
    this.sums.fill(0);
  }

  /** Whether segment `i` stands for others; if so, it is turned to. */
  turnTo(i: number): boolean {
    if (!isOneIn(this.oneIn, i)) return false;
    this.shocked.turnTo(unseenYears(this.known, i) + this.yearLeft);
    return true;
  }

  add(d: number, lengthM: number, failed: Float64Array, share: number, at: number): void {
    const { chances, years, average, sums } = this;
    this.shocked.into(chances, d, failed, share, at);
    let [before, now] = [0, 0];
    for (let y = 0; y < years; y++) {
      average[d * years + y] += lengthM * share * (failed[at + y] - before);
      sums[d * years + y] += lengthM * (chances[y] - now);
      before = failed[at + y];
      now = chances[y];
    }
  }

  /** One that is known to have failed falls due whatever the year is like. */
  addKnownFailed(lengthM: number): void {
    for (let at = 0; at < this.sums.length; at += this.years) {
      this.average[at] += lengthM;
      this.sums[at] += lengthM;
    }
  }

  ratio(d: number, y: number): number {
    const at = d * this.years + y;
    return this.average[at] > LEAST_LENGTH_M ? this.sums[at] / this.average[at] : 1;
  }
}

/**
 * Adds first failures and the renewals that follow them where years differ, cohort by cohort: what was resealed in a year
 * fails by its age and by the year.
 * @param first of the group by year, from place `at` on @param survival of a new seal by whole ages, from 0
 */
export function addRenewalsInYears(
  sums: Float64Array,
  { first, at }: { readonly first: Float64Array; readonly at: number },
  survival: Float64Array,
  { shape, ahead, width }: YearShocks,
  d: number,
): void {
  const years = sums.length;
  const hazards = Float64Array.from(survival, (s, age) =>
    age === 0 ? 0 : sharedHazard(Math.max(0, Math.log(survival[age - 1] / Math.max(s, LEAST_SURVIVAL))), shape[d]),
  );
  const sound = new Float64Array(years);
  for (let y = 0; y < years; y++) {
    let due = first[at + y];
    for (let from = 0; from < y; from++) {
      const left = sound[from] * exponential(-ahead[d * width + y] * hazards[y - from]);
      due += sound[from] - left;
      sound[from] = left;
    }
    sound[y] = due;
    sums[y] += due;
  }
}
