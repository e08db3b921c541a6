import { expect, test } from 'vitest';
import { readingModel } from '../../../../analytics/condition/condition.ts';
import { prepareReadings } from '../../../../analytics/condition/prepared-readings.ts';
import { COARSE, FINE, type Precision } from '../../../../analytics/condition/seal-integrand.ts';
import { SealScore } from '../../../../analytics/condition/seal-score.ts';
import { FAMILIES } from '../../../../server/schemas/words.ts';
import { simulate } from './simulate.ts';

/** Values and derivatives of every row with readings, one after the other. */
function numbersOf(family: (typeof FAMILIES)[number], seed: number, precision: Precision) {
  const { data } = simulate({ seed, seals: 400, family });
  const readings = prepareReadings(data, readingModel(0.1));
  const rows = data.lower.length;
  const score = new SealScore(readings, family, new Float64Array(rows).fill(Number.NaN), precision);
  const shift = new Float64Array(readings.inspectors).fill(0.1);
  score.turnTo({ sigma: family === 'exponential' ? 1 : 0.4, exponent: 2.3, readingSd: 0.3, shift });
  const out: number[][] = [];
  for (let i = 0; i < rows; i++) {
    if (readings.start[i] === readings.start[i + 1]) continue;
    const value = score.derivatives(i, 2.4, Math.log(data.lower[i]), Math.log(data.upper[i]));
    const inMu = [score.first[0], score.second[0]];
    out.push([value, ...score.first.subarray(0, 4), score.second[0]]);
    score.derivativesInMu(i, 2.4, Math.log(data.lower[i]), Math.log(data.upper[i]));
    expect(Math.abs(score.first[0] - inMu[0])).toBeLessThan(1e-4);
    expect(Math.abs(score.second[0] - inMu[1])).toBeLessThan(2e-3);
  }
  return out;
}

test('coarse quadrature is right to about 1e-5 a seal, and to far less on average', () => {
  for (const [k, family] of FAMILIES.entries()) {
    const fine = numbersOf(family, 7 + k, FINE);
    const coarse = numbersOf(family, 7 + k, COARSE);
    expect(fine.length).toBeGreaterThan(100);
    let sum = 0;
    fine.forEach((row, i) => {
      row.forEach((value, a) => {
        expect(Math.abs(coarse[i][a] - value)).toBeLessThan(a === 0 ? 5e-5 : 2e-3);
      });
      sum += coarse[i][0] - row[0];
    });
    expect(Math.abs(sum / fine.length)).toBeLessThan(5e-6);
  }
});
