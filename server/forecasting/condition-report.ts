import type { ConditionFit, DamageGrowth } from '../../analytics/condition/condition.ts';
import type { ShareLink } from '../../analytics/condition/share-link.ts';
import type { PosteriorDraws } from '../../analytics/survival/aft.ts';
import type { Interval } from '../schemas/common.ts';
import type { ConditionReport } from '../schemas/model.ts';
import type { Settings } from '../schemas/settings.ts';
import type { FittedModel } from './fit-network.ts';

/** Half of an 80 % interval, in standard errors. */
const REACH = 1.2816;

/** What damaged shares tell of life, and whether forecasts use it, in words and numbers. */
export function conditionReport({ condition, draws }: FittedModel, settings: Settings): ConditionReport {
  if (!condition) return withoutShares(settings);
  const { fit, inspectors } = condition;
  const { used, sentence, growth, counts, life } = fit;
  const shared = {
    sentence: used ? `${sentence} ${FORECASTS_USE_IT}` : sentence,
    status: life.status,
    warnings: used ? [...life.warnings] : [],
    readings: counts.readings,
    sealsWithShare: counts.sealsWithShare,
    sealsWithTwoShares: counts.sealsWithTwoShares,
  };
  if (!used || !growth) return { ...NO_GROWTH, ...shared, used: false };
  return {
    ...shared,
    used: true,
    growthLaw: growthLaw(fit, growth),
    exponent: logInterval(growth.exponent, growth.logExponentSe),
    readingSd: logInterval(growth.readingSd, growth.logReadingSdSe),
    inspectorSd: growth.inspectorSd,
    inspectors: inspectors.map((name, k) => inspectorLine(name, k, growth)),
    sampling: samplingOf(draws),
  };
}

const FORECASTS_USE_IT = 'Forecasts rest on soundness, failure and these shares together.';

const NO_GROWTH = {
  growthLaw: null,
  exponent: null,
  readingSd: null,
  inspectorSd: null,
  inspectors: [],
  sampling: null,
};

function withoutShares({ conditionModel, failureThresholdShare }: Settings): ConditionReport {
  const why =
    conditionModel === 'off'
      ? 'The settings say not to learn from damaged shares, so forecasts rest on soundness and failure, and on the last share by a simple rule.'
      : failureThresholdShare >= 0.995
        ? 'A seal counts as failed only when all of it is damaged, so damaged shares cannot say how near that is.'
        : 'No inspection has told anything about life yet, so there is no damage to learn from.';
  return {
    ...NO_GROWTH,
    used: false,
    sentence: why,
    status: null,
    warnings: [],
    ...{ readings: 0, sealsWithShare: 0, sealsWithTwoShares: 0 },
  };
}

function growthLaw({ reading }: ConditionFit, { exponent, readingSd }: DamageGrowth): string {
  const times = Math.exp(REACH * readingSd);
  return (
    `${GROWTH_OF_LINK[reading.link](exponent.toFixed(1))}. ` +
    `One reading of a small share is right to a factor of ${times.toFixed(2)} in four of five cases.`
  );
}

/** How the damaged share grows with age, on the scale on which its logarithm grows in a straight line. */
const GROWTH_OF_LINK: Record<ShareLink, (exponent: string) => string> = {
  cloglog: (exponent) => `Small damage grows as age to the power ${exponent} (unit lengths with Weibull lives)`,
  logit: (exponent) => `Small damage grows as age to the power ${exponent} (unit lengths with log-logistic lives)`,
  power: (exponent) => `Damage grows as age to the power ${exponent}, up to the whole length`,
};

function inspectorLine(name: string, k: number, growth: DamageGrowth): ConditionReport['inspectors'][number] {
  const [centre, reach] = [growth.inspectorShift[k], REACH * growth.inspectorShiftSe[k]];
  const shift = { median: centre, lower: centre - reach, upper: centre + reach };
  const readsTimes = { median: Math.exp(shift.median), lower: Math.exp(shift.lower), upper: Math.exp(shift.upper) };
  const readings = growth.inspectorReadings[k];
  const numbers = `${readsTimes.median.toFixed(2)} times (${readsTimes.lower.toFixed(2)} to ${readsTimes.upper.toFixed(2)})`;
  const habit = shift.lower > 0 ? 'reads more than others' : shift.upper < 0 ? 'reads less than others' : null;
  return {
    name,
    readings,
    shift,
    readsTimes,
    sentence: habit
      ? `${name} ${habit}: small shares come out ${numbers} those of the average inspector.`
      : `${name} reads as others do, as far as ${readings.toLocaleString('en')} readings tell: ${numbers}.`,
  };
}

const logInterval = (centre: number, logSe: number): Interval => ({
  median: centre,
  lower: centre * Math.exp(-REACH * logSe),
  upper: centre * Math.exp(REACH * logSe),
});

const samplingOf = ({ effectiveSampleSize, paretoK }: PosteriorDraws): ConditionReport['sampling'] => ({
  effectiveSampleSize,
  paretoK: Number.isFinite(paretoK) ? paretoK : null,
});
