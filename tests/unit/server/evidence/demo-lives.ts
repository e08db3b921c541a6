import { sealReadings } from '../../../../analytics/condition/share-lists.ts';
import { forecastSegments, type SegmentForecasts } from '../../../../analytics/forecast/forecast-segments.ts';
import { daysBetween, observeSegment } from '../../../../analytics/survival/observation.ts';
import { type FittedModel, fitNetwork } from '../../../../server/forecasting/fit-network.ts';
import { knowledgeOf, type SealedSegment } from '../../../../server/forecasting/knowledge.ts';
import { modelForecasts } from '../../../../server/forecasting/model-forecasts.ts';
import { DAYS_PER_YEAR, decimalYear, type Network, sealInPlace } from '../../../../server/forecasting/network.ts';
import type { Seal } from '../../../../server/schemas/seal.ts';
import { DEFAULT_SETTINGS } from '../../../../server/store/sqlite/settings.ts';
import type { DemoAgency, TrueSeal } from '../../data-demo/demo-agency.ts';
import { DEMO_RULES } from './demo-past.ts';

const { failureThresholdShare } = DEMO_RULES;
const OPTIONS = { yearLeft: 0.5, horizonYears: 20, failureThresholdShare };
/** A remaining life that a forecast puts beyond its reach. */
const FARTHEST_YEARS = 100;

/** How forecasts of the demo's seals in place with damage on record, not found failed, meet their true lives. */
export interface DemoLives {
  readonly segments: number;
  /** Absolute errors of the median remaining life, years: by soundness and failure alone, and by the model in use. */
  readonly plainErrors: readonly number[];
  readonly errors: readonly number[];
  /** True lives that end within their 80 % interval. */ readonly plainCovered: number;
  readonly covered: number;
  /** How damage grows and is read, as found. */ readonly exponent: number;
  readonly readingSd: number;
}

/** Remaining lives of the demo by the model that the server forecasts with, beside the threshold model. */
export function demoLives(agency: DemoAgency): DemoLives {
  const { network, placed, truths } = networkOf(agency);
  const model = fitNetwork(network, DEFAULT_SETTINGS);
  const { condition } = model;
  if (!condition?.fit.growth) throw new Error(condition?.fit.sentence ?? 'The demo has no damaged shares');
  const judged = [...placed.keys()].filter((i) => {
    const { inPlace } = placed[i];
    const limit = condition.reading.detectionLimitShare;
    return Number.isNaN(inPlace.foundFailedAgeYears) && inPlace.readings.some(({ share }) => share > limit);
  });
  const remaining = (i: number): number => truths[i].lifeYears - yearsTo(truths[i].installedOn);
  const errors = ({ medianYears }: SegmentForecasts) =>
    judged.map((i) => Math.abs((Number.isNaN(medianYears[i]) ? FARTHEST_YEARS : medianYears[i]) - remaining(i)));
  const covered = ({ lowerYears, upperYears }: SegmentForecasts) =>
    judged.filter((i) => remaining(i) >= lowerYears[i] && !(remaining(i) > upperYears[i])).length;
  const inUse = forecastsInUse(model, placed);
  const plain = plainForecasts(network, placed);
  return {
    segments: judged.length,
    plainErrors: errors(plain),
    errors: errors(inUse),
    plainCovered: covered(plain),
    covered: covered(inUse),
    exponent: condition.fit.growth.exponent,
    readingSd: condition.fit.growth.readingSd,
  };
}

const yearsTo = (installedOn: string): number => daysBetween(installedOn, DEMO_RULES.today) / DAYS_PER_YEAR;

export function forecastsInUse(
  { family, design, draws, levels, condition }: FittedModel,
  placed: readonly SealedSegment[],
) {
  if (!condition?.growth) throw new Error('Damaged shares are not used');
  const { growth, reading, inspectors } = condition;
  // The damage rule has no part in a forecast that knows how damage grows.
  const damageRule = { exponent: Number.NaN, logSd: Number.NaN, pairs: 0 };
  const stored = {
    family,
    design,
    draws,
    damageRule,
    levels: levels?.draws,
    condition: { growth, reading, inspectors },
  };
  return modelForecasts(placed, stored, OPTIONS).forecasts(() => undefined);
}

/** Soundness and failure alone: neither the shares nor the damage rule. */
function plainForecasts(network: Network, placed: readonly SealedSegment[]): SegmentForecasts {
  const { family, design, draws } = fitNetwork(network, { ...DEFAULT_SETTINGS, conditionModel: 'off' });
  const known = knowledgeOf(placed, { design });
  const unread = { ...known, damageShare: new Float64Array(known.count).fill(Number.NaN) };
  return forecastSegments(unread, draws, family, { ...OPTIONS, damageRule: null });
}

/** The demo as the forecast reads it, with the truth of each seal in place. */
export function networkOf({ histories, covariates, truths }: DemoAgency) {
  const rows: Network['rows'] = [];
  const placed: SealedSegment[] = [];
  const placedTruths: TrueSeal[] = [];
  let next = 0;
  for (const { records, recordsFrom, facility, district } of histories) {
    const groups = { district, facilityId: facility, lot: null };
    const rules = { ...DEMO_RULES, recordsFrom };
    const { seals } = observeSegment(records, rules);
    for (const [i, observed] of seals.entries()) {
      const seal = records.seals[i] as Seal;
      const known = {
        covariates: covariates[next],
        readings: sealReadings(seal, observed, records.inspections, rules.inspectionMethod),
      };
      if (observed.observation)
        rows.push({ ...known, observation: observed.observation, groups, installedYear: decimalYear(seal) });
      if (observed.inPlace) {
        const place = { id: records.segmentId, district, facilityId: facility };
        placed.push({ ...place, inPlace: sealInPlace(seal, observed, known, rules) } as SealedSegment);
        placedTruths.push(truths[next]);
      }
      next++;
    }
  }
  return { network: { seals: covariates, rows, segments: placed } as unknown as Network, placed, truths: placedTruths };
}

export const medianOf = (values: readonly number[]): number => Float64Array.from(values).sort()[values.length >> 1];
