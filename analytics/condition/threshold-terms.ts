import type { Family } from '../survival/aft.ts';
import { type FamilyTerms, familyTerms, newTerms } from '../survival/row-terms.ts';

/** Log ages of the rows; -Infinity for age 0, Infinity for an upper age that is not known. */
export interface RowAges {
  readonly entryLog: Float64Array;
  readonly lowerLog: Float64Array;
  readonly upperLog: Float64Array;
  /** log(upper / lower) of interval rows, worked out without the difference of close logs. */
  readonly logRatio: Float64Array;
}

export function rowAges(entry: Float64Array, lower: Float64Array, upper: Float64Array): RowAges {
  const logRatio = lower.map((from, i) =>
    from > 0 && upper[i] < Infinity && upper[i] > from ? Math.log1p((upper[i] - from) / from) : 0,
  );
  return { entryLog: entry.map(Math.log), lowerLog: lower.map(Math.log), upperLog: upper.map(Math.log), logRatio };
}

/**
 * What a row without readings adds to the log-likelihood, and what the entry age adds to any row, with derivatives in the
 * predictor mu and s = log sigma: added to out as [value, mu, s, mu mu, mu s, s s]. The same terms as the threshold fit.
 */
export class ThresholdTerms {
  readonly out = new Float64Array(6);
  private readonly ages: RowAges;
  private readonly terms: FamilyTerms;
  private readonly parts = newTerms();

  constructor(ages: RowAges, family: Family) {
    this.ages = ages;
    this.terms = familyTerms(family);
  }

  /** out = the row's own term: interval, right-, left-censored or exact. */
  row(i: number, mu: number, sigma: number): void {
    const { terms, parts, out } = this;
    const { lowerLog, upperLog, logRatio } = this.ages;
    out.fill(0);
    if (upperLog[i] === Infinity) {
      if (lowerLog[i] === -Infinity) return;
      terms.right((lowerLog[i] - mu) / sigma, parts);
      this.addSingle((lowerLog[i] - mu) / sigma, sigma, 1);
    } else if (upperLog[i] === lowerLog[i]) {
      terms.exact((upperLog[i] - mu) / sigma, parts);
      this.addSingle((upperLog[i] - mu) / sigma, sigma, 1);
      out[0] -= Math.log(sigma) + upperLog[i];
      out[2] -= 1;
    } else if (lowerLog[i] === -Infinity) {
      terms.left((upperLog[i] - mu) / sigma, parts);
      this.addSingle((upperLog[i] - mu) / sigma, sigma, 1);
    } else {
      terms.interval((lowerLog[i] - mu) / sigma, logRatio[i] / sigma, parts);
      this.setInterval((lowerLog[i] - mu) / sigma, logRatio[i] / sigma, sigma);
    }
  }

  /** Adds the part of delayed entry, -log S(entry). */
  addEntry(i: number, mu: number, sigma: number): void {
    const y = this.ages.entryLog[i];
    if (y === -Infinity) return;
    this.terms.right((y - mu) / sigma, this.parts);
    this.addSingle((y - mu) / sigma, sigma, -1);
  }

  private addSingle(z: number, sigma: number, sign: number): void {
    const { out, parts } = this;
    out[0] += sign * parts[0];
    out[1] -= (sign * parts[1]) / sigma;
    out[2] -= sign * parts[1] * z;
    out[3] += (sign * parts[2]) / (sigma * sigma);
    out[4] += (sign * (parts[1] + z * parts[2])) / sigma;
    out[5] += sign * (z * parts[1] + z * z * parts[2]);
  }

  private setInterval(z: number, gap: number, sigma: number): void {
    const { out, parts } = this;
    const both = parts[1];
    const upper = parts[2];
    const bothBoth = parts[3];
    const bothUpper = parts[4];
    const upperUpper = parts[5];
    out[0] = parts[0];
    out[1] = -both / sigma;
    out[2] = -(z * both + gap * upper);
    out[3] = bothBoth / (sigma * sigma);
    out[4] = (both + z * bothBoth + gap * bothUpper) / sigma;
    out[5] = z * both + gap * upper + z * z * bothBoth + 2 * z * gap * bothUpper + gap * gap * upperUpper;
  }
}
