import { expect, test } from 'vitest';
import { seededRandom } from '../../../../analytics/numeric/seeded-normals.ts';
import type { AftData } from '../../../../analytics/survival/aft.ts';
import { compress } from '../../../../analytics/survival/compress.ts';
import { newRowScore, rowScores } from '../../../../analytics/survival/row-scores.ts';
import { familyTerms } from '../../../../analytics/survival/row-terms.ts';
import { standardise } from '../../../../analytics/survival/standardise.ts';

test("the Weibull's own way through an interval agrees with its terms to 1e-12", () => {
  const { uniform } = seededRandom(4);
  const rows = 2000;
  const lower = Float64Array.from({ length: rows }, () => 0.01 + 30 * uniform());
  const data: AftData = {
    entry: new Float64Array(rows),
    lower,
    // From a narrow interval to a hundred times the age.
    upper: lower.map((age) => age * (1 + 10 ** (-6 + 8 * uniform()))),
    weight: new Float64Array(rows).fill(1),
    covariates: new Float64Array(rows),
    names: ['none'],
    intercept: true,
  };
  const design = standardise(compress(data), null);
  // A copy is not known as the Weibull, and goes by the terms.
  const [fused, byTerms] = [familyTerms('weibull'), { ...familyTerms('weibull') }].map((terms) =>
    rowScores(design, terms),
  );
  const [found, expected] = [newRowScore(), newRowScore()];
  for (let i = 0; i < rows; i++) {
    const [eta, tau] = [4 * uniform() - 2, 0.5 + 5 * uniform()];
    fused(i, eta, tau, found);
    byTerms(i, eta, tau, expected);
    for (let k = 0; k < 6; k++)
      expect(Math.abs(found[k] - expected[k])).toBeLessThanOrEqual(1e-12 * (1 + Math.abs(expected[k])));
  }
});
