import type { AftPrior, Family } from './aft.ts';
import type { Design } from './covariate-rows.ts';

/** What is believed of a class's median life before any inspection of the agency. */
export interface ClassPrior {
  readonly medianYears: number;
  /** SD of the log median: 0.5 is a factor 2.7 either way with 95 %. */ readonly logSd: number;
  readonly source: string;
}

const LOG_SD = 0.5;
const RANGES = 'published ranges that disagree by a factor of 2 to 5, mostly from sellers';
const COURSE = 'range of preservation courses and ACI 504R, from memory';

/**
 * Default medians, the middle of published ranges, wide on purpose so that local inspections dominate.
 * Sources: Biel and Lee, J. Transp. Eng. 123(5), 1997 (silicone sound past 10 years); a trade review of 20- and 21-year
 * sites; preservation-course ranges of 3 to 5, 5 to 10, 8 to 15 and 15 to 20 years (from memory).
 */
export const CLASS_PRIORS: Readonly<Record<string, ClassPrior>> = {
  'silicone-self-levelling': published(12, `8 to 15 years (${COURSE}); over 10 years in Utah (Biel and Lee, 1997)`),
  'silicone-non-sag': published(12, `8 to 15 years (${COURSE}); over 10 years in Utah (Biel and Lee, 1997)`),
  'hot-applied': published(7, `3 to 10 years (${COURSE}); 21 years seen on an airfield`),
  'hot-applied-type-1': published(5, `3 to 5 years (${COURSE})`),
  'hot-applied-type-2': published(7, `5 to 10 years (${COURSE})`),
  'hot-applied-type-3': published(7, `5 to 10 years (${COURSE})`),
  'hot-applied-type-4': published(8, `5 to 10 years (${COURSE}); low-modulus seal in place after 21 years`),
  polysulfide: published(8, 'no published range at hand; set between hot-applied and silicone'),
  'polyurethane-two-part': published(8, 'no published range at hand; set between hot-applied and silicone'),
  'preformed-compression': published(17, `15 to 20 years (${COURSE})`),
  unknown: { ...published(9, `${RANGES}; middle of all classes`), logSd: 0.7 },
};

function published(medianYears: number, source: string): ClassPrior {
  return { medianYears, logSd: LOG_SD, source };
}

/** Prior of a class; one that no list knows is as uncertain as an unknown sealant. */
export const classPrior = (
  sealantClass: string,
  priors: Readonly<Record<string, ClassPrior>> = CLASS_PRIORS,
): ClassPrior => priors[sealantClass] ?? priors.unknown ?? CLASS_PRIORS.unknown;

/** All that is believed of lives before any inspection. */
export interface LifePriors {
  readonly classes: Readonly<Record<string, ClassPrior>>;
  /** SD of the effect on log life of one standard deviation or one switch of a covariate. */ readonly effectSd: number;
  /** Weibull shape; of other families 1 / sigma. */ readonly shapeMedian: number;
  readonly shapeLogSd: number;
}

/** Effects within a factor of 2 and shapes from 1.1 to 5.5, both with 95 %: wide on purpose, a proposal of this project. */
export const PUBLISHED_PRIORS: LifePriors = {
  classes: CLASS_PRIORS,
  effectSd: 0.35,
  shapeMedian: 2.5,
  shapeLogSd: 0.4,
};

/**
 * Prior for the columns of a design: class medians, slopes N(0, effectSd²) per standard deviation or switch, log shape
 * normal. As published it is weakly informative: slopes N(0, 0.35²) (life ratio 0.5 to 2 with 95 %), log shape
 * N(log 2.5, 0.4²) (shape 1.1 to 5.5: wear-out). `means` and `sds` follow `design.names`; the scale sigma is 1 / shape.
 */
export function aftPrior(
  family: Family,
  design: Pick<Design, 'classes' | 'columns'>,
  { classes, effectSd, shapeMedian, shapeLogSd }: LifePriors = PUBLISHED_PRIORS,
): AftPrior {
  const ofClass = design.classes.map((name) => classPrior(name, classes));
  const medianShift = standardMedian(family) / (family === 'exponential' ? 1 : shapeMedian);
  return {
    means: [...ofClass.map((prior) => Math.log(prior.medianYears) - medianShift), ...design.columns.map(() => 0)],
    sds: [...ofClass.map((prior) => prior.logSd), ...design.columns.map(() => effectSd)],
    logScaleMean: -Math.log(shapeMedian),
    logScaleSd: shapeLogSd,
  };
}

/** Median of W in log T = mu + sigma W: log log 2 for the smallest extreme value, 0 for symmetric families. */
export const standardMedian = (family: Family): number =>
  family === 'weibull' || family === 'exponential' ? Math.log(Math.LN2) : 0;

/** How many observed failures of one class a prior is worth: information per failure about log life is shape². */
export const priorWorthFailures = (
  { logSd }: Pick<ClassPrior, 'logSd'>,
  shape: number = PUBLISHED_PRIORS.shapeMedian,
): number => 1 / (shape * logSd) ** 2;

/** Half of a normal distribution's 95 %, in standard deviations. */
const REACH_95 = 1.959964;

/** "Within a factor of 2.7 with 95 %" as the SD of a logarithm, and back. */
export const logSdOfFactor = (factor: number): number => Math.log(factor) / REACH_95;
export const factorOfLogSd = (logSd: number): number => Math.exp(REACH_95 * logSd);
