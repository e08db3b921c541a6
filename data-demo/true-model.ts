import { movementDemand } from '../analytics/joint/movement-demand.ts';
import type { Aggregate, BaseType, SealantClass } from '../server/schemas/words.ts';
import type { StationNormals } from './station-normals.ts';

/** Weibull shape of the true lives: log T = mu(class) + x'beta + sigma W, sigma = 1 / shape. */
export const TRUE_SHAPE = 2.6;
export const TRUE_SIGMA = 1 / TRUE_SHAPE;

/** True median life at the reference covariates, years. `hot-applied` stands for "type not recorded". */
export const TRUE_MEDIAN_YEARS: Readonly<Partial<Record<SealantClass, number>>> = {
  'silicone-self-levelling': 14,
  'silicone-non-sag': 15,
  'hot-applied': 6.5,
  'hot-applied-type-1': 5.5,
  'hot-applied-type-2': 8,
  'hot-applied-type-4': 9.5,
  polysulfide: 10,
  'polyurethane-two-part': 9,
  'preformed-compression': 18,
};

export const COVARIATES = [
  'freezingIndexCDays',
  'freezeThawDays',
  'temperatureRangeC',
  'precipitationMm',
  'movementRatio',
  'logAadt',
  'longitudinal',
  'widthMm',
  'blasted',
  'fuelExposure',
] as const;
export type Covariate = (typeof COVARIATES)[number];
export type CovariateValues = Readonly<Record<Covariate, number>>;

/** What analytics/survival/covariate-table.ts calls each covariate. */
export const FIT_NAMES: Readonly<Record<Covariate, string>> = {
  freezingIndexCDays: 'freezingIndex',
  freezeThawDays: 'freezeThawDays',
  temperatureRangeC: 'temperatureRange',
  precipitationMm: 'precipitation',
  movementRatio: 'movementDemand',
  logAadt: 'traffic',
  longitudinal: 'longitudinal',
  widthMm: 'width',
  blasted: 'blasted',
  fuelExposure: 'fuelExposure',
};

/** Reference value, and the step that one standardised unit stands for. Fixed, so that truth does not depend on size. */
export const STANDARDS: Readonly<Record<Covariate, { reference: number; step: number }>> = {
  freezingIndexCDays: { reference: 350, step: 400 },
  freezeThawDays: { reference: 80, step: 35 },
  temperatureRangeC: { reference: 56, step: 10 },
  precipitationMm: { reference: 850, step: 400 },
  movementRatio: { reference: 0.9, step: 0.7 },
  logAadt: { reference: 8.7, step: 0.8 },
  longitudinal: { reference: 0, step: 1 },
  widthMm: { reference: 12, step: 4 },
  blasted: { reference: 0, step: 1 },
  fuelExposure: { reference: 0, step: 1 },
};

/** Effect on log life of one unit of each covariate, on its original scale. */
export const TRUE_BETA: CovariateValues = {
  freezingIndexCDays: -0.00035,
  freezeThawDays: -0.002,
  temperatureRangeC: -0.006,
  precipitationMm: -0.0001,
  movementRatio: -0.15,
  logAadt: -0.06,
  longitudinal: 0.15,
  widthMm: -0.008,
  blasted: 0.22,
  fuelExposure: -0.35,
};

export interface SealCircumstances {
  readonly sealantClass: SealantClass;
  readonly normals: StationNormals;
  readonly slabLengthM: number;
  readonly baseType: BaseType;
  readonly coarseAggregate: Aggregate;
  readonly widthMm: number;
  readonly aadt: number | null;
  readonly longitudinal: boolean;
  readonly blasted: boolean;
  readonly fuelExposure: boolean;
}

/** Covariates on the original scale. Where there is no road traffic, logAadt is at its reference: no effect. */
export function covariatesOf(at: SealCircumstances): CovariateValues {
  const { demandOverCapability } = movementDemand({ ...at, rangeC: at.normals.temperatureRangeC });
  return {
    ...at.normals,
    movementRatio: demandOverCapability,
    logAadt: at.aadt === null ? STANDARDS.logAadt.reference : Math.log(at.aadt),
    longitudinal: at.longitudinal ? 1 : 0,
    widthMm: at.widthMm,
    blasted: at.blasted ? 1 : 0,
    fuelExposure: at.fuelExposure ? 1 : 0,
  };
}

/** mu(class) on the original covariate scale: the log of the Weibull scale in years where every covariate is 0. */
export function trueIntercept(sealantClass: SealantClass): number {
  const median = TRUE_MEDIAN_YEARS[sealantClass];
  if (median === undefined) throw new RangeError(`No true life for class ${sealantClass}`);
  const atReference = Math.log(median) - TRUE_SIGMA * Math.log(Math.LN2);
  return COVARIATES.reduce((sum, name) => sum - TRUE_BETA[name] * STANDARDS[name].reference, atReference);
}

/** Characteristic life in years: the age by which 63.2 % of such seals have failed. */
export function characteristicLifeYears(sealantClass: SealantClass, values: CovariateValues): number {
  return Math.exp(COVARIATES.reduce((sum, name) => sum + TRUE_BETA[name] * values[name], trueIntercept(sealantClass)));
}
