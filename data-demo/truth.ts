import { MOVEMENT_CAPABILITY } from '../analytics/joint/movement-demand.ts';
import type { SealantClass } from '../server/schemas/words.ts';
import { AGENCY_NAME, DEMO_SETTINGS, LAST_DAY } from './agency.ts';
import { isoOf } from './days.ts';
import type { RefusedRow } from './flaws.ts';
import { type Contradiction, FAILED_SHARE, GROWTH, READING_LOG_SD } from './readings.ts';
import type { StationNormals } from './station-normals.ts';
import {
  COVARIATES,
  FIT_NAMES,
  STANDARDS,
  TRUE_BETA,
  TRUE_MEDIAN_YEARS,
  TRUE_SHAPE,
  TRUE_SIGMA,
  trueIntercept,
} from './true-model.ts';

/** Counts of one demo, added up while it is written. */
export interface DemoCounts {
  facilities: number;
  lateRecordFacilities: number;
  segments: number;
  unsealedByPolicy: number;
  leftAlone: number;
  segmentWidthsMissing: number;
  sealsLived: number;
  sealsRecorded: number;
  sealsWithDelayedEntry: number;
  inspections: number;
  removalDatesMissing: number;
  removalReasonsUnknown: number;
  classesUnknown: number;
  classesByOldWord: number;
  contradictions: number;
}

/** The model that made the lives: log T = intercept(class) + sum of beta x value + sigma W, T in years. */
export const trueModel = () => ({
  family: 'weibull' as const,
  shape: TRUE_SHAPE,
  sigma: TRUE_SIGMA,
  failureThresholdShare: FAILED_SHARE,
  damageGrowth: { exponent: GROWTH, readingLogSd: READING_LOG_SD },
  /** `beta` per unit on the original scale; `betaPerStep` and `lifeRatioPerStep` per `step`; `fitName` in a fitted model. */
  covariates: COVARIATES.map((name) => {
    const { reference, step } = STANDARDS[name];
    const betaPerStep = TRUE_BETA[name] * step;
    return {
      name,
      fitName: FIT_NAMES[name],
      reference,
      step,
      beta: TRUE_BETA[name],
      betaPerStep,
      lifeRatioPerStep: Math.exp(betaPerStep),
    };
  }),
  /** `medianYears` where every covariate is at its reference; `intercept` where every covariate is 0. */
  classes: (Object.keys(TRUE_MEDIAN_YEARS) as SealantClass[]).map((sealantClass) => ({
    sealantClass,
    medianYears: TRUE_MEDIAN_YEARS[sealantClass] as number,
    intercept: trueIntercept(sealantClass),
    capabilityShare: MOVEMENT_CAPABILITY[sealantClass].extensionShare,
  })),
});

/** Kept short, so that the truth of a large network stays a small file. */
const LISTED_CONTRADICTIONS = 500;

export interface TruthParts {
  readonly seed: number;
  readonly counts: DemoCounts;
  readonly normals: ReadonlyMap<string, StationNormals>;
  readonly contradictions: readonly Contradiction[];
  readonly refusedRows: readonly RefusedRow[];
  readonly flawedRows: readonly RefusedRow[];
}

export const describeTruth = ({ seed, counts, normals, contradictions, refusedRows, flawedRows }: TruthParts) => ({
  invented: true as const,
  agencyName: AGENCY_NAME,
  settings: DEMO_SETTINGS,
  seed,
  recordsTo: isoOf(LAST_DAY),
  model: trueModel(),
  stations: [...normals].map(([id, values]) => ({ id, ...values })),
  counts,
  /** Every seal that ever was, on record or not. */ livesFile: 'truth-lives.csv',
  /** The first of them; `counts.contradictions` says how many there are. */
  contradictions: contradictions.slice(0, LISTED_CONTRADICTIONS),
  refusedRows,
  /** The same kinds in the folder `flawed`. */ flawedRows,
});

/** What is true of a demo: written beside its records, and never loaded. */
export type DemoTruth = ReturnType<typeof describeTruth>;
