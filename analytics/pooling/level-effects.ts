import erfc from '@stdlib/math-base-special-erfc';
import normalQuantile from '@stdlib/stats-base-dists-normal-quantile';
import { poissonInterval, poissonTwoSided } from './poisson-count.ts';

/** What the records say about one lot, crew, facility or the like, against the average of its grouping. */
export interface LevelEffect {
  readonly level: string;
  /** Shrunk effect on log life; null where there is nothing to compare. */ readonly effect: number | null;
  readonly standardError: number | null;
  /** exp(effect): life as a multiple of the average level's, with its interval. */ readonly lifeRatio: number | null;
  readonly lifeRatioLower: number | null;
  readonly lifeRatioUpper: number | null;
  /** Chance, given all records, that life is shorter than the average level's. */
  readonly shorterChance: number | null;
  /** Sum of weights. */ readonly seals: number;
  readonly failures: number;
  /** Failures expected of the average level under the same observation. */ readonly expectedFailures: number | null;
  /** Failures that the fit expects of it with its own effect. */ readonly fittedFailures: number | null;
  /** Failures seen over expected, with the exact Poisson interval; null where fewer than 0.01 are expected. */
  readonly observedToExpected: number | null;
  readonly observedToExpectedLower: number | null;
  readonly observedToExpectedUpper: number | null;
  /** Two-sided Poisson chance of as many or as few failures if this level were like the average. */
  readonly countChance: number | null;
}

export interface Counts {
  readonly seals: Float64Array;
  readonly failures: Float64Array;
  readonly expected: Float64Array | null;
  readonly fitted: Float64Array | null;
}

const LEAST_EXPECTED = 0.01;

/** One entry per level. `effects` and `variances`: null where the levels cannot be compared. */
export function levelEffects(
  names: readonly string[],
  effects: Float64Array | null,
  variances: Float64Array | null,
  counts: Counts,
  level: number,
): LevelEffect[] {
  const reach = normalQuantile((1 + level) / 2, 0, 1);
  return names.map((name, l) => ({
    level: name,
    ...lifeOf(effects?.[l] ?? null, variances ? Math.sqrt(Math.max(0, variances[l])) : null, reach),
    seals: counts.seals[l],
    failures: counts.failures[l],
    fittedFailures: counts.fitted?.[l] ?? null,
    ...againstExpected(counts.failures[l], counts.expected?.[l] ?? null, level),
  }));
}

function lifeOf(effect: number | null, standardError: number | null, reach: number) {
  if (effect === null || standardError === null)
    return {
      effect: null,
      standardError: null,
      lifeRatio: null,
      lifeRatioLower: null,
      lifeRatioUpper: null,
      shorterChance: null,
    };
  return {
    effect,
    standardError,
    lifeRatio: Math.exp(effect),
    lifeRatioLower: Math.exp(effect - reach * standardError),
    lifeRatioUpper: Math.exp(effect + reach * standardError),
    shorterChance: standardError > 0 ? 0.5 * erfc(effect / (standardError * Math.SQRT2)) : 0.5,
  };
}

function againstExpected(failures: number, expected: number | null, level: number) {
  if (expected === null || expected < LEAST_EXPECTED)
    return {
      expectedFailures: expected,
      observedToExpected: null,
      observedToExpectedLower: null,
      observedToExpectedUpper: null,
      countChance: expected === null ? null : poissonTwoSided(failures, expected),
    };
  const { lower, upper } = poissonInterval(failures, level);
  return {
    expectedFailures: expected,
    observedToExpected: failures / expected,
    observedToExpectedLower: lower / expected,
    observedToExpectedUpper: upper / expected,
    countChance: poissonTwoSided(failures, expected),
  };
}
