import erfcx from '@stdlib/math-base-special-erfcx';
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { logNormalCdf, logNormalCdfInto } from '../../../../analytics/condition/normal-tail.ts';

test('log Phi has the printed values', () => {
  // Abramowitz and Stegun (1964), tables 26.1 and 26.2: P(1), P(2), Q(1) = 1 - P(1), Q(3), and -log10 Q(5), -log10 Q(10).
  const printed: readonly (readonly [z: number, value: number])[] = [
    [1, Math.log(0.8413447460685429)],
    [2, Math.log(0.97724986805182)],
    [-1, Math.log(0.15865525393)],
    [-3, Math.log(0.0013498980316)],
    [-5, -6.54265 * Math.LN10],
    [-10, -23.11805 * Math.LN10],
  ];
  for (const [z, value] of printed) expect(Math.abs(logNormalCdf(z) - value)).toBeLessThan(2e-5 * Math.max(1, -value));
});

test('value, slope and curvature are those of the scaled complementary error function, everywhere', () => {
  const out = new Float64Array(3);
  fc.assert(
    fc.property(fc.double({ min: -30, max: 12, noNaN: true }), (z) => {
      logNormalCdfInto(out, z);
      // phi / Phi = sqrt(2 / pi) / erfcx(-z / sqrt 2), a continued fraction's worth of digits for z down to -30.
      const slope = z > 8 ? 0 : Math.sqrt(2 / Math.PI) / erfcx(-z * Math.SQRT1_2);
      expect(out[0]).toBe(logNormalCdf(z));
      expect(Math.abs(out[1] - slope)).toBeLessThan(2e-9 * Math.max(1, slope));
      expect(Math.abs(out[2] + slope * (z + slope))).toBeLessThan(1e-7);
      const cdf = 0.5 * erfcx(-z * Math.SQRT1_2) * Math.exp(-0.5 * z * z);
      if (z > -30 && z < 8) expect(Math.abs(out[0] - Math.log(cdf))).toBeLessThan(1e-9 * Math.max(1, -out[0]));
    }),
    { seed: 3, numRuns: 2000 },
  );
});
