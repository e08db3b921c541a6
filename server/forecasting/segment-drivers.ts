import {
  curveLogVariance,
  type LifeMixture,
  mixtureInterval,
  mixtureLogVariance,
} from '../../analytics/forecast/life-mixture.ts';
import type { DriverStep, Drivers } from '../schemas/drivers.ts';
import type { SealantClass } from '../schemas/words.ts';
import type { Store } from '../store/store.ts';
import { describeDriverEffects } from './driver-effects.ts';
import { describeLevelEffects } from './driver-levels.ts';
import { type ForecastSegment, readForecastSegment } from './forecast-segment.ts';
import { planningYear } from './planning-year.ts';
import { sealCurve } from './seal-curve.ts';
import { classLife, priorLife, sealLife } from './seal-life.ts';

/** Lives longer than this are given as "more than 100 years ahead", as forecasts do. */
const FARTHEST_YEARS = 100;
/** Ages at which a seal's survival is looked at for its spread. */
const CURVE_POINTS = 300;

/** @throws ProblemError when there is no such segment or no forecast of it */
export async function segmentDrivers(store: Store, id: string): Promise<Drivers> {
  const found = await readForecastSegment(store, id);
  const { model, inPlace, report, planningDate } = found;
  const sealantClass = found.seal.sealantClass;
  const now = planningYear(planningDate).decimalYear;
  const installed = now - inPlace.planningAgeYears;
  const lives = [
    priorLife(model, sealantClass),
    classLife(model, sealantClass),
    sealLife(model, inPlace.covariates, found.grouped, 'in place'),
  ] as const;
  const variances = [...lives.map(mixtureLogVariance), inspectedLogVariance(found)];
  const nothingKnown = mixtureLogVariance(priorLife(model, 'unknown'));
  const shares = informationShares(nothingKnown, variances);
  const years = [
    ...lives.map((life) => failureYear(life, installed, now)),
    {
      median: found.state?.forecast?.medianFailureYear ?? null,
      lower: found.state?.forecast?.lowerFailureYear ?? null,
      upper: found.state?.forecast?.upperFailureYear ?? null,
    },
  ];
  const steps = STEP_WORDS.map(({ step, label }, k) => ({
    step,
    label,
    failureYear: years[k],
    informationShare: shares[k],
    sentence: stepSentence(step, found, shares[k]),
  }));
  const ofLevels = describeLevelEffects(model, found.grouped, found.history.facility.name);
  const { effects, together } = describeDriverEffects(model, inPlace.covariates, ofLevels.together);
  return {
    segmentId: id,
    modelVersion: report.version,
    sealantClass,
    installed,
    steps,
    leftOpenShare: Math.min(1, variances[3] / Math.max(nothingKnown, variances[3])),
    informationNote: NOTE,
    effects,
    levels: ofLevels.levels,
    together,
    summary: summaryOf(steps),
  };
}

const STEP_WORDS = [
  { step: 'prior', label: 'What was believed of its class' },
  { step: 'class', label: 'Records of its class' },
  { step: 'covariates', label: 'Its climate, movement, traffic and making' },
  { step: 'inspections', label: 'Its own inspections' },
] as const;

const NOTE =
  'Each share is the reduction of the variance of log life that came with the step, over that of all four. The start is a ' +
  'seal of unknown class of which nothing is recorded. The order matters: what two steps both tell counts for the earlier. ' +
  'A step that left the forecast as wide as before, or widened it, has 0.';

function failureYear(life: LifeMixture, installed: number, now: number): DriverStep['failureYear'] {
  const { median, lower, upper } = mixtureInterval(life);
  const at = (years: number): number | null => (installed + years - now > FARTHEST_YEARS ? null : installed + years);
  return { median: at(median), lower: at(lower), upper: at(upper) };
}

/** Variance of the log life of the seal in place, given all that inspections found. */
function inspectedLogVariance({ inPlace, grouped, model, settings }: ForecastSegment): number {
  const { soundAgeYears, foundFailedAgeYears, observation } = inPlace;
  const from = Math.max(soundAgeYears, 0.05);
  const to = observation.knownFailed ? Math.max(foundFailedAgeYears, from * 1.0001) : from + 2 * FARTHEST_YEARS;
  const ages = Float64Array.from({ length: CURVE_POINTS + 1 }, (_, j) => from * (to / from) ** (j / CURVE_POINTS));
  if (observation.knownFailed)
    return curveLogVariance(
      ages,
      ages.map((age) => (to - age) / (to - from)),
    );
  return curveLogVariance(
    ages,
    sealCurve(model, { ...grouped, inPlace }, ages, settings.failureThresholdShare).survival,
  );
}

/** Shares of the reduction of variance, each at least 0, together 1. */
function informationShares(start: number, variances: readonly number[]): number[] {
  const gains = variances.map((variance, k) => Math.max(0, (k === 0 ? start : variances[k - 1]) - variance));
  const total = gains.reduce((sum, gain) => sum + gain, 0);
  return total > 0 ? gains.map((gain) => gain / total) : [1, 0, 0, 0];
}

const percent = (share: number): string => `${Math.round(100 * share)} %`;

function stepSentence(step: DriverStep['step'], found: ForecastSegment, share: number): string {
  return `${whatIsKnown(step, found)} ${share > 0 ? `${percent(share)} of what is known came with it.` : 'It did not narrow the forecast.'}`;
}

function whatIsKnown(step: DriverStep['step'], { report, seal, reading, history, model }: ForecastSegment): string {
  switch (step) {
    case 'prior': {
      const life = report.classes.find(({ sealantClass }) => sealantClass === seal.sealantClass);
      const years = life?.priorMedianLifeYears;
      return years
        ? `Half of such seals last ${years} years: ${life.priorSource}.`
        : 'Nothing was believed of its class.';
    }
    case 'class': {
      const life = report.classes.find(({ sealantClass }) => sealantClass === seal.sealantClass);
      const count = (value = 0) => value.toLocaleString('en');
      return `${count(life?.observations)} seals of ${wordsOf(seal.sealantClass)} tell something about life, ${count(life?.failures)} of them failed, anywhere in the network.`;
    }
    case 'covariates':
      return model.design.columns.length > 0
        ? `${model.design.columns.length} covariates set it apart from the others of its class.`
        : 'No covariate is in the model.';
    case 'inspections':
      return reading.seals[history.seals.indexOf(seal)]?.note() ?? 'Never inspected.';
    default:
      return step satisfies never;
  }
}

const wordsOf = (sealantClass: SealantClass): string => sealantClass.replaceAll('-', ' ');

function summaryOf(steps: readonly DriverStep[]): string {
  const [first, second] = [...steps].sort((a, b) => b.informationShare - a.informationShare);
  const named = ({ label, informationShare }: DriverStep) => `${label.toLowerCase()} (${percent(informationShare)})`;
  const rest = second.informationShare >= 0.01 ? `, then ${named(second)}` : '';
  return `Most of what is known of this seal comes from ${named(first)}${rest}.`;
}
