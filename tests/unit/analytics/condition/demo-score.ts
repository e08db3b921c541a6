import { conditionDraws } from '../../../../analytics/condition/condition-draws.ts';
import { fitCondition } from '../../../../analytics/condition/fit-condition.ts';
import { forecastCondition } from '../../../../analytics/condition/forecast-condition.ts';
import { learnReading } from '../../../../analytics/condition/learn-reading.ts';
import { forecastSegments, type SegmentForecasts } from '../../../../analytics/forecast/forecast-segments.ts';
import { fitAft } from '../../../../analytics/survival/fit-aft.ts';
import { posteriorDraws } from '../../../../analytics/survival/posterior.ts';
import { demoCondition } from './demo-records.ts';

const HORIZON = { yearLeft: 0.5, horizonYears: 20 };
const DRAWS = { draws: 100, seed: 1 };
const THRESHOLD_SHARE = 0.1;

/** How forecasts of the demo's seals in place with damage on record, not found failed, meet their true lives. */
export interface DemoScore {
  readonly segments: number;
  /** Absolute errors of the median remaining life, years: by soundness and failure alone, and with shares. */
  readonly plainErrors: readonly number[];
  readonly conditionErrors: readonly number[];
  /** True lives that end within their 80 % interval. */ readonly plainCovered: number;
  readonly conditionCovered: number;
  readonly exponent: number;
  readonly readingSd: number;
}

export async function demoScore(segments: number, seed: number): Promise<DemoScore> {
  const { data, prior, known, inPlace } = await demoCondition(segments, seed);
  const family = 'weibull' as const;
  const { reading } = learnReading(data, THRESHOLD_SHARE, { family, prior });
  const options = { family, prior, reading };
  const fit = fitCondition(data, options);
  if (!fit.growth) throw new Error(fit.sentence);
  const condition = forecastCondition(known, conditionDraws(data, fit, { ...options, ...DRAWS }), family, HORIZON);
  const plain = forecastSegments(
    { ...known, damageShare: new Float64Array(known.count).fill(Number.NaN) },
    posteriorDraws(data, fitAft(data, options), prior, DRAWS),
    family,
    { ...HORIZON, failureThresholdShare: THRESHOLD_SHARE, damageRule: null },
  );
  const judged = [...inPlace.keys()].filter((i) => {
    const shares = known.readingShare.subarray(known.readingStart[i], known.readingStart[i + 1]);
    return Number.isNaN(inPlace[i].foundFailedAgeYears) && shares.some((share) => share > reading.detectionLimitShare);
  });
  const remaining = (i: number): number => inPlace[i].remainingYears;
  const errors = ({ medianYears }: SegmentForecasts) =>
    judged.map((i) => Math.abs((Number.isNaN(medianYears[i]) ? 100 : medianYears[i]) - remaining(i)));
  const covered = ({ lowerYears, upperYears }: SegmentForecasts) =>
    judged.filter((i) => remaining(i) >= lowerYears[i] && !(remaining(i) > upperYears[i])).length;
  return {
    segments: judged.length,
    plainErrors: errors(plain),
    conditionErrors: errors(condition),
    plainCovered: covered(plain),
    conditionCovered: covered(condition),
    exponent: fit.growth.exponent,
    readingSd: fit.growth.readingSd,
  };
}

export const medianOf = (values: readonly number[]): number => Float64Array.from(values).sort()[values.length >> 1];
