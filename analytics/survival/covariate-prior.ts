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
): ClassPrior => priors[sealantClass] ?? CLASS_PRIORS.unknown;

const SHAPE_MEDIAN = 2.5;
const SHAPE_LOG_SD = 0.4;
const SLOPE_SD = 0.35;

/**
 * Weakly informative prior for the columns of a design: class medians, slopes N(0, 0.35²) per standard deviation or
 * switch (life ratio 0.5 to 2 with 95 %), log shape N(log 2.5, 0.4²) (shape 1.1 to 5.5: wear-out).
 * `means` and `sds` follow `design.names`; the scale sigma is 1 / shape.
 */
export function aftPrior(
  family: Family,
  design: Pick<Design, 'classes' | 'columns'>,
  priors: Readonly<Record<string, ClassPrior>> = CLASS_PRIORS,
): AftPrior {
  const ofClass = design.classes.map((name) => classPrior(name, priors));
  const medianShift = standardMedian(family) / (family === 'exponential' ? 1 : SHAPE_MEDIAN);
  return {
    means: [...ofClass.map((prior) => Math.log(prior.medianYears) - medianShift), ...design.columns.map(() => 0)],
    sds: [...ofClass.map((prior) => prior.logSd), ...design.columns.map(() => SLOPE_SD)],
    logScaleMean: -Math.log(SHAPE_MEDIAN),
    logScaleSd: SHAPE_LOG_SD,
  };
}

/** Median of W in log T = mu + sigma W: log log 2 for the smallest extreme value, 0 for symmetric families. */
export const standardMedian = (family: Family): number =>
  family === 'weibull' || family === 'exponential' ? Math.log(Math.LN2) : 0;

/** How many observed failures of one class a prior is worth: information per failure about log life is shape². */
export const priorWorthFailures = ({ logSd }: ClassPrior, shape: number = SHAPE_MEDIAN): number =>
  1 / (shape * logSd) ** 2;
