export interface Interval {
  readonly median: number;
  /** 10th percentile. */ readonly lower: number;
  /** 90th percentile. */ readonly upper: number;
}

export interface YearInterval {
  readonly year: number;
  readonly lengthM: Interval;
  readonly cost: Interval;
}

/** Median with 10th and 90th percentile, by linear interpolation between order statistics. Sorts `values` in place. */
export function intervalOf(values: Float64Array): Interval {
  values.sort();
  const at = (share: number): number => {
    const position = share * (values.length - 1);
    const below = Math.floor(position);
    const above = Math.min(below + 1, values.length - 1);
    return values[below] + (position - below) * (values[above] - values[below]);
  };
  return { median: at(0.5), lower: at(0.1), upper: at(0.9) };
}

/** Lengths and costs of some part of the network: one number per draw and year, so that sums keep what moves together. */
export class DrawTable {
  private readonly lengths: Float64Array;
  private readonly costs: Float64Array;
  private readonly draws: number;
  private readonly years: number;

  constructor(draws: number, years: number) {
    this.draws = draws;
    this.years = years;
    this.lengths = new Float64Array(draws * years);
    this.costs = new Float64Array(draws * years);
  }

  /** `lengths`: draws x years. `costPerM`: one price per year. */
  add(lengths: Float64Array, costPerM: readonly number[]): void {
    for (let i = 0; i < lengths.length; i++) {
      this.lengths[i] += lengths[i];
      this.costs[i] += lengths[i] * costPerM[i % this.years];
    }
  }

  byYear(years: readonly number[]): YearInterval[] {
    return years.map((year, y) => ({ year, lengthM: this.inYear(this.lengths, y), cost: this.inYear(this.costs, y) }));
  }

  overall(presentFactors: readonly number[]): { lengthM: Interval; cost: Interval; presentValue: Interval } {
    const once = presentFactors.map(() => 1);
    return {
      lengthM: this.overYears(this.lengths, once),
      cost: this.overYears(this.costs, once),
      presentValue: this.overYears(this.costs, presentFactors),
    };
  }

  private inYear(values: Float64Array, y: number): Interval {
    return intervalOf(Float64Array.from({ length: this.draws }, (_, d) => values[d * this.years + y]));
  }

  private overYears(values: Float64Array, factors: readonly number[]): Interval {
    return intervalOf(
      Float64Array.from({ length: this.draws }, (_, d) =>
        factors.reduce((sum, factor, y) => sum + factor * values[d * this.years + y], 0),
      ),
    );
  }
}
