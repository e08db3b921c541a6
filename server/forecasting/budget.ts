import { type FallsDueOptions, fallsDue } from '../../analytics/forecast/falls-due.ts';
import type { FirstFailures } from '../../analytics/forecast/first-failures.ts';
import type { SegmentForecasts } from '../../analytics/forecast/forecast-segments.ts';
import type { Budget } from '../schemas/budget.ts';
import type { Settings } from '../schemas/settings.ts';
import type { SealantClass } from '../schemas/words.ts';
import { SEED } from './fit-network.ts';
import { shocksOf } from './in-years.ts';
import { knowledgeOf, type SealedSegment } from './knowledge.ts';
import { firstFailuresOf, type SegmentOptions } from './model-forecasts.ts';
import type { Network } from './network.ts';
import type { PriceList } from './price-list.ts';
import type { StoredModel } from './stored-model.ts';

/** All that a budget is made from. */
export interface PlannedInputs {
  readonly network: Network;
  /** Segments with a seal in place. */ readonly segments: readonly SealedSegment[];
  /** One for each of them. */ readonly firstFailures: FirstFailures;
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

/** What falls due each year by district and class, for the segments that resealing is planned for. */
export function networkBudget(inputs: PlannedInputs, progress: (share: number) => void): Budget {
  const { model, settings, options, planningYear } = inputs;
  const planned = [...inputs.segments.keys()].filter((i) => inputs.segments[i].planned);
  const segments = planned.map((i) => inputs.segments[i]);
  const districts = [...new Set(segments.map((s) => s.district))].sort();
  const classes = [...model.design.classes] as SealantClass[];
  const priceYear = inputs.prices.priceYear ?? planningYear;
  const dueOptions: FallsDueOptions = {
    ...options,
    damageRule: model.damageRule,
    firstFailures: firstFailuresOf(inputs.firstFailures, planned),
    yearShocks: shocksOf(model, options),
    planningYear,
    priceYear,
    escalationPerYear: settings.escalationPerYear,
    discountRatePerYear: settings.discountRatePerYear,
    seed: SEED,
  };
  const due = fallsDue(
    {
      ...knowledgeOf(segments, model),
      lengthM: Float64Array.from(segments, (s) => s.sealedLengthM),
      district: Int32Array.from(segments, (s) => districts.indexOf(s.district)),
      sealantClass: Int32Array.from(segments, (s) =>
        classes.indexOf(s.inPlace.covariates.sealantClass as SealantClass),
      ),
      costPerM: Float64Array.from(segments, (s) =>
        inputs.prices.costPerM(s.inPlace.covariates.sealantClass, s.jointType),
      ),
    },
    model.draws,
    model.family,
    dueOptions,
    progress,
  );
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
