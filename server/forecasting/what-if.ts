import { intervalOf } from '../../analytics/forecast/draw-table.ts';
import { capitalRecoveryFactor } from '../../analytics/forecast/life-cycle.ts';
import { type LifeMixture, mixtureInterval, mixtureSurvival } from '../../analytics/forecast/life-mixture.ts';
import { standardQuantile } from '../../analytics/survival/families.ts';
import { ProblemError } from '../problems.ts';
import type { Interval } from '../schemas/common.ts';
import type { ResealOption, WhatIf, WhatIfRequest } from '../schemas/drivers.ts';
import type { Seal } from '../schemas/seal.ts';
import type { SealantClass } from '../schemas/words.ts';
import type { Store } from '../store/store.ts';
import { type ForecastSegment, readForecastSegment } from './forecast-segment.ts';
import { FUEL_SCOPE, isExcludedByFuel } from './fuel-scope.ts';
import { planningYear } from './planning-year.ts';
import { PriceList } from './price-list.ts';
import { movementOf, sealCovariates } from './seal-covariates.ts';
import { sealLife } from './seal-life.ts';

const LASTS_YEARS = [5, 10, 15];
const FARTHEST_YEARS = 100;

/**
 * What a segment could expect of another seal, beside resealing like with like.
 * @throws ProblemError when there is no such segment or forecast, or the class is not meant for what is recorded
 */
export async function whatIf(store: Store, id: string, request: WhatIfRequest): Promise<WhatIf> {
  const found = await readForecastSegment(store, id);
  refuseUnsuitable(found, request);
  const { year: thisYear } = planningYear(found.planningDate);
  const year = request.year ?? thisYear;
  if (year < thisYear)
    throw new ProblemError('invalid-request', `year is ${year}; expected ${thisYear}, the planning year, or later.`, [
      { field: 'body.year', found: String(year), expected: `${thisYear} or later` },
    ]);
  const { seal, settings, history } = found;
  const prices = new PriceList(await store.readUnitCosts());
  const widthMm = seal.widthMm ?? history.segment.widthMm;
  const likeWithLike = { sealantClass: seal.sealantClass, widthMm, preparation: seal.preparation };
  const wanted = {
    sealantClass: request.sealantClass,
    widthMm: request.widthMm ?? widthMm,
    preparation: request.preparation ?? seal.preparation,
  };
  const [option, like] = [wanted, likeWithLike].map((reseal) => assess(found, reseal, prices, year));
  const lifeRatio = intervalOf(option.medians.map((median, d) => median / like.medians[d]));
  return {
    segmentId: id,
    modelVersion: found.report.version,
    currency: settings.currency,
    priceYear: prices.priceYear,
    discountRatePerYear: settings.discountRatePerYear,
    option: option.answer,
    likeWithLike: like.answer,
    lifeRatio,
    sentence: sentenceOf(option.answer, like.answer, lifeRatio, settings.currency),
  };
}

function refuseUnsuitable({ history: { segment } }: ForecastSegment, { sealantClass }: WhatIfRequest): void {
  if (!segment.fuelExposure || !isExcludedByFuel(sealantClass)) return;
  throw new ProblemError(
    'not-suitable',
    `Segment ${segment.id} is exposed to fuel spills, and ${wordsOf(sealantClass)} is not meant for that: ${FUEL_SCOPE}. ` +
      'Choose polysulfide, two-part polyurethane or a preformed compression seal of a fuel-resistant specification.',
    [{ field: 'body.sealantClass', found: sealantClass, expected: 'a class whose specification covers fuel spills' }],
  );
}

type Reseal = Pick<ResealOption, 'sealantClass' | 'widthMm' | 'preparation'>;

interface Assessed {
  readonly answer: ResealOption;
  /** Median life under each draw, years. */ readonly medians: Float64Array;
}

function assess(found: ForecastSegment, reseal: Reseal, prices: PriceList, year: number): Assessed {
  const { history, normals, model, settings } = found;
  const seal: Seal = { ...found.seal, ...reseal };
  const life = sealLife(model, sealCovariates(history, seal, normals), found.grouped, 'new');
  const medians = mediansOf(life);
  const costPerM = prices.costPerM(reseal.sealantClass, history.segment.jointType);
  const lifeYears = mixtureInterval(life);
  const at = (years: number): number | null => (years > FARTHEST_YEARS ? null : year + years);
  const answer: ResealOption = {
    ...reseal,
    year,
    medianLifeYears: intervalOf(Float64Array.from(medians)),
    lifeYears,
    lasts: LASTS_YEARS.map((years) => ({ years, chance: mixtureSurvival(life, years) })),
    failureYear: { median: at(lifeYears.median), lower: at(lifeYears.lower), upper: at(lifeYears.upper) },
    costPerM: Number.isNaN(costPerM) ? null : costPerM,
    annualCostPerM: Number.isNaN(costPerM) ? null : annualCost(costPerM, medians, settings.discountRatePerYear),
    knownBy: knownBy(found, reseal.sealantClass),
    cautions: cautionsOf(found, seal),
  };
  return { answer, medians };
}

function mediansOf({ family, eta, sigma }: LifeMixture): Float64Array {
  const half = standardQuantile(family, 0.5);
  return eta.map((mean, d) => Math.exp(mean + sigma[d] * half));
}

const annualCost = (costPerM: number, medians: Float64Array, ratePerYear: number): Interval =>
  intervalOf(medians.map((years) => costPerM * capitalRecoveryFactor(ratePerYear, years)));

function knownBy({ report, model }: ForecastSegment, sealantClass: SealantClass): string {
  const life = report.classes.find((each) => each.sealantClass === sealantClass);
  if (!life || !model.design.classes.includes(sealantClass))
    return 'No seal of this class is on record: its life is what was believed of it, made longer or shorter by this place.';
  const count = (value: number) => value.toLocaleString('en');
  return `${count(life.observations)} seals of this class tell something about life, ${count(life.failures)} of them failed: ${life.dataShare > 0.995 ? 'over 99' : Math.round(100 * life.dataShare)} % records, the rest what was believed before.`;
}

function cautionsOf({ history, normals }: ForecastSegment, seal: Seal): string[] {
  const movement = movementOf(history, seal, normals);
  const tooMuch = movement !== null && movement.demandShare > movement.capabilityShare;
  const percent = (share: number) => `${Math.round(100 * share)} %`;
  return [
    ...(history.segment.fuelExposure && isExcludedByFuel(seal.sealantClass)
      ? [`This place is exposed to fuel spills, which this class is not meant for: ${FUEL_SCOPE}.`]
      : []),
    ...(tooMuch
      ? [
          `The joint opens by ${percent(movement.demandShare)} of this width in a year; the class is made for ${percent(movement.capabilityShare)}. A wider joint strains the seal less.`,
        ]
      : []),
    'For planning: follow the specification, the product data sheet and local codes, and have an engineer choose the seal.',
  ];
}

function sentenceOf(option: ResealOption, like: ResealOption, lifeRatio: Interval, currency: string): string {
  const { median, lower, upper } = lifeRatio;
  const life = `Half of such seals last ${option.medianLifeYears.median.toFixed(1)} years or longer, ${median.toFixed(2)} times as long as like with like (${lower.toFixed(2)} to ${upper.toFixed(2)})`;
  if (!option.annualCostPerM || !like.annualCostPerM) return `${life}. A price is missing, so costs are not compared.`;
  const [a, b] = [option.annualCostPerM.median, like.annualCostPerM.median];
  const money = `${currency} ${a.toFixed(2)} a metre and year against ${b.toFixed(2)}`;
  const verdict = Math.abs(a / b - 1) < 0.01 ? 'as dear' : a < b ? 'cheaper in the long run' : 'dearer in the long run';
  return `${life}; ${verdict}: ${money}.`;
}

const wordsOf = (sealantClass: SealantClass): string => sealantClass.replaceAll('-', ' ');
