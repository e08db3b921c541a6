import { type ConditionDraws, type GrowthDraws, readingModel } from '../../../../analytics/condition/condition.ts';
import type { ConditionKnowledge } from '../../../../analytics/condition/forecast-condition.ts';
import type { OutlookInput, OutlookOptions } from '../../../../analytics/condition/network-outlook.ts';
import { pickReadings } from '../../../../analytics/condition/share-lists.ts';
import { yearShocks } from '../../../../analytics/forecast/year-shocks.ts';
import { seededRandom } from '../../../../analytics/numeric/seeded-normals.ts';

export const DRAWS = 40;

/** Draws near one median life, which all segments share but for a covariate of their own. */
export function someDraws(): ConditionDraws & { readonly growth: GrowthDraws } {
  const { normal } = seededRandom(5);
  const each = (centre: number, sd: number) => Float64Array.from({ length: DRAWS }, () => centre + sd * normal());
  const median = each(2.4, 0.1);
  const slope = each(-0.2, 0.05);
  return {
    draws: DRAWS,
    coefficients: Float64Array.from({ length: 2 * DRAWS }, (_, at) => (at % 2 === 0 ? median : slope)[at >> 1]),
    scale: each(0.4, 0.03),
    effectiveSampleSize: DRAWS,
    paretoK: 0.1,
    growth: {
      exponent: each(2.3, 0.1),
      readingSd: each(0.3, 0.02),
      inspectors: 2,
      inspectorShift: Float64Array.from({ length: 2 * DRAWS }, (_, at) => (at % 2 === 0 ? 0.1 : -0.1)),
    },
    reading: readingModel(0.1),
  };
}

/** Segments with two readings, one, none at all, a full one, and one known to have failed. */
export const KNOWN: ConditionKnowledge = {
  count: 5,
  covariates: Float64Array.of(1, 0, 1, 1, 1, -1, 1, 0.5, 1, 0),
  soundAgeYears: Float64Array.of(6, 5, 4, 7, 3),
  planningAgeYears: Float64Array.of(8, 6, 5, 7.5, 6),
  foundFailedAgeYears: Float64Array.of(Number.NaN, Number.NaN, Number.NaN, Number.NaN, 5),
  readingStart: Int32Array.of(0, 2, 3, 3, 5, 6),
  readingAge: Float64Array.of(3, 6, 5, 4, 7, 5),
  readingShare: Float64Array.of(0.01, 0.05, 0.02, 0, 0.09, 0.3),
  readingInspector: Int32Array.of(0, 1, -1, 0, 1, 0),
};

const KEPT = Int32Array.of(3, 17, 31);
const shocksOf = (draws: number) => yearShocks(new Float64Array(draws).fill(0.2), { horizonYears: 20, seed: 2 });

export const OUTLOOK_OPTIONS: OutlookOptions = {
  ...{ yearLeft: 0.5, horizonYears: 20, failureThresholdShare: 0.1, damageRule: null },
  ...{ planningYear: 2026, priceYear: 2026, escalationPerYear: 0.02, discountRatePerYear: 0.03, seed: 4 },
  ...{ yearShocks: shocksOf(DRAWS), keptDraws: KEPT, keptShocks: shocksOf(KEPT.length) },
};

/** The known segments again and again, in two districts and three classes; every seventh is not planned. */
export function outlookInput(count: number): OutlookInput {
  const from = Int32Array.from({ length: count }, (_, i) => i % KNOWN.count);
  const pick = (values: Float64Array): Float64Array => Float64Array.from(from, (i) => values[i]);
  return {
    count,
    covariates: Float64Array.from({ length: 2 * count }, (_, at) => KNOWN.covariates[2 * from[at >> 1] + (at % 2)]),
    soundAgeYears: pick(KNOWN.soundAgeYears),
    planningAgeYears: pick(KNOWN.planningAgeYears),
    foundFailedAgeYears: pick(KNOWN.foundFailedAgeYears),
    damageShare: new Float64Array(count).fill(Number.NaN),
    readings: pickReadings(KNOWN, from),
    planned: Uint8Array.from({ length: count }, (_, i) => Number(i % 7 !== 0)),
    lengthM: Float64Array.from({ length: count }, (_, i) => 100 + (i % 50)),
    district: Int32Array.from({ length: count }, (_, i) => i % 2),
    sealantClass: Int32Array.from({ length: count }, (_, i) => i % 3),
    costPerM: Float64Array.from({ length: count }, (_, i) => 5 + (i % 3)),
  };
}
