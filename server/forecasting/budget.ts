import type { LifeKnowledge } from '../../analytics/condition/life-model.ts';
import { networkOutlook, type Outlook } from '../../analytics/condition/network-outlook.ts';
import type { FallsDue } from '../../analytics/forecast/falls-due.ts';
import type { SegmentForecasts } from '../../analytics/forecast/forecast-segments.ts';
import { TWO_THREADS } from '../jobs/sum-threads.ts';
import type { Budget } from '../schemas/budget.ts';
import type { Settings } from '../schemas/settings.ts';
import type { SealantClass } from '../schemas/words.ts';
import { KEPT_DRAWS } from './failed-now-draws.ts';
import { MANY_SEALS, SEED } from './fit-network.ts';
import { shocksOf } from './in-years.ts';
import type { SealedSegment } from './knowledge.ts';
import { lifeModel, type SegmentOptions } from './model-forecasts.ts';
import type { Network } from './network.ts';
import type { PriceList } from './price-list.ts';
import { spreadDraws } from './spread-draws.ts';
import type { StoredModel } from './stored-model.ts';

/** All that the outlook of a network, its budget and its forecast states are made from. */
export interface PlannedInputs {
  readonly network: Network;
  /** Segments with a seal in place. */ readonly segments: readonly SealedSegment[];
  /** What is known of these. */ readonly known: LifeKnowledge;
  readonly model: StoredModel;
  readonly settings: Settings;
  readonly prices: PriceList;
  readonly options: SegmentOptions;
  readonly planningYear: number;
}

/** All that forecast states are made from. */
export interface ForecastInputs extends PlannedInputs {
  /** One for each of the segments. */ readonly forecasts: SegmentForecasts;
}

/** Forecast of every segment with a seal in place, and what falls due of those that resealing is planned for. */
export function outlookOf(inputs: PlannedInputs, onProgress: (share: number) => void): Outlook {
  const { model, settings, options, planningYear, segments, known, prices } = inputs;
  const { districts, classes } = namesOf(inputs);
  const keptDraws = spreadDraws(model, KEPT_DRAWS);
  return networkOutlook(
    {
      ...known,
      planned: Uint8Array.from(segments, (s) => Number(s.planned)),
      lengthM: Float64Array.from(segments, (s) => s.sealedLengthM),
      district: Int32Array.from(segments, (s) => districts.indexOf(s.district)),
      sealantClass: Int32Array.from(segments, (s) =>
        classes.indexOf(s.inPlace.covariates.sealantClass as SealantClass),
      ),
      costPerM: Float64Array.from(segments, (s) => prices.costPerM(s.inPlace.covariates.sealantClass, s.jointType)),
    },
    lifeModel(model),
    {
      ...options,
      damageRule: model.damageRule,
      closeDraws: segments.length > MANY_SEALS,
      planningYear,
      priceYear: prices.priceYear ?? planningYear,
      escalationPerYear: settings.escalationPerYear,
      discountRatePerYear: settings.discountRatePerYear,
      yearShocks: shocksOf(model.yearSd, options),
      keptDraws,
      keptShocks: shocksOf(model.yearSd && Float64Array.from(keptDraws, (d) => model.yearSd?.[d] ?? 0), options),
      seed: SEED,
    },
    { threads: TWO_THREADS, onProgress },
  );
}

/** Names behind the numbers of districts and classes. */
function namesOf({ segments, model }: PlannedInputs) {
  const districts = [...new Set(segments.filter((s) => s.planned).map((s) => s.district))].sort();
  return { districts, classes: [...model.design.classes] as SealantClass[] };
}

/** What falls due each year by district and class, with what it rests on. */
export function networkBudget(inputs: PlannedInputs, due: FallsDue): Budget {
  const { settings, planningYear } = inputs;
  const { districts, classes } = namesOf(inputs);
  const priceYear = inputs.prices.priceYear ?? planningYear;
  return {
    modelVersion: 0, // the store stamps the version
    currency: settings.currency,
    priceYear,
    escalationPerYear: settings.escalationPerYear,
    discountRatePerYear: settings.discountRatePerYear,
    years: [...due.years],
    rows: due.rows.map(({ district, sealantClass, ...row }) => ({
      district: districts[district],
      sealantClass: classes[sealantClass],
      ...row,
    })),
    totals: [...due.totals],
    districtTotals: due.districtTotals.map(({ district, ...row }) => ({ district: districts[district], ...row })),
    classTotals: due.classTotals.map(({ sealantClass, ...row }) => ({ sealantClass: classes[sealantClass], ...row })),
    overall: due.overall,
    assumptions: assumptions(inputs, priceYear),
    unpricedLengthM: due.unpricedLengthM,
  };
}

function assumptions({ network, settings, segments, model }: PlannedInputs, priceYear: number): string[] {
  const unsealed = network.segments.length - segments.length;
  const notPlanned = segments.filter((s) => !s.planned).length;
  const percent = (share: number) => `${+(share * 100).toFixed(2)} %`;
  return [
    `Forecast from ${network.planningDate}. What is known or likely to have failed by then falls due in the first year.`,
    model.condition
      ? 'First failures rest on soundness and on every damaged share read on the seal in place.'
      : 'First failures rest on soundness and on the last damaged share of the seal in place.',
    'Every seal is resealed in the year it fails, like with like, and then ages again. Money and crews set no limit here.',
    `Unit costs are in ${settings.currency} of ${priceYear}, raised by ${percent(settings.escalationPerYear)} a year. The present value takes them as constant and discounts at a real ${percent(settings.discountRatePerYear)} a year.`,
    `Intervals hold 80 % of outcomes: uncertainty of the model${model.yearSd ? ' and years that are hard or easy on all seals, both' : ','} shared by all segments, and chance of each segment.`,
    `Left out: ${unsealed} segments without a seal in place or unsealed by policy, ${notPlanned} left alone on purpose.`,
    'A forecast is for planning. It is not a safety assessment and does not replace inspection or engineering judgement.',
  ];
}
