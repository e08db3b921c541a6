import type { AftData, AftFit, PosteriorDraws } from '../survival/aft.ts';
import type { ShareLink } from './share-link.ts';

/**
 * The condition-updated life model: damaged shares recorded below and above the failure threshold sharpen the life of
 * each seal, and the lives of its class.
 *
 * Seal i fails at age T_i, and y_i = log T_i follows the accelerated-failure-time model as it stands:
 *
 *     y_i = mu_i + sigma W_i,    mu_i = x_i'beta
 *
 * W_i is the seal's own effect: two like seals grow old at different speeds. Within a seal the unit lengths fail with a
 * life distribution of their own, placed so that the failed share is the threshold h at age T_i. With the complementary
 * log-log link g(s) = log(-log(1 - s)) unit lengths are Weibull of shape m, with the logit they are log-logistic, and
 * with the power link log s the share itself grows as a power of age:
 *
 *     g(share expected at age t) = g(h) + m (log t - y_i)
 *
 * An inspector k reads this with an error of SD tau and a shift c_k of their own. Where installation is known to a range
 * only, log t is known with an SD of a. Life counts from the same uncertain day as age, so what a reading tells of the day
 * of failure is blurred by a (1 - t / T) alone: a seal read at the threshold fails today, however old it is. t / T is taken
 * as exp((g(share) - g(h)) / 2.5), a usual m; the readings' errors are taken as independent all the same:
 *
 *     g(share read) = g(h) + m (log t - y_i) + c_k + sqrt(tau² + (m a (1 - t/T))²) e,    e normal(0, 1)
 *
 * The shifts are c = b - mean(b) with b_k normal(0, omega²): shrunken, and centred, because the threshold is what the
 * average inspector calls failed. omega is the mode of its Laplace-marginal posterior (empirical Bayes) and then held
 * fixed. A share at or below the detection limit says only that the reading was at most the limit, one at or above the
 * full limit that it was at least that. A reading at age 0 has expected share 0 whatever the life, and is left out.
 *
 * Evidence from the threshold stays: T_i in (L_i, R_i], given soundness at entry. The marginal likelihood of one seal is
 *
 *     l_i = log  ∫ over y in (log L_i, log R_i]  of  f(y) prod_j p(reading j | y) dy   -   log S(log entry_i)
 *
 * which without readings is log(S(L) - S(R)) - log S(entry): the threshold model, exactly.
 *
 * The bounds come from looks whose side of the threshold is believed. Where that side is read off the share itself, no share
 * is ever on record across the threshold from the truth, so those next to it stand for all that lay beyond. With
 * `thresholdBandShare` they count as censored there; without it tau comes out too small and intervals too narrow.
 */
export interface ConditionData extends AftData, ShareReadings {}

/** Damaged shares of each row, in compressed sparse rows: row i has readings readingStart[i] up to readingStart[i + 1]. */
export interface ShareReadings {
  /** Rows + 1 entries, the first 0, not falling. */ readonly readingStart: Int32Array;
  /** Age at each reading, years (or the unit of the fit), 0 or more. */ readonly readingAge: Float64Array;
  /** Damaged share of length, 0 to 1. */ readonly readingShare: Float64Array;
  /** Index of the inspector, 0 up; -1 where nobody is named. */ readonly readingInspector: Int32Array;
  /** SD of each age where the installation is known to a range only, in the unit of the ages; left out: ages are exact. */
  readonly readingAgeSd?: Float64Array;
}

/** How a share is read. The same for fit and forecast. */
export interface ReadingModel {
  readonly link: ShareLink;
  /** h: the share at which a seal has failed, above the detection limit. */ readonly failureThresholdShare: number;
  /** Shares at or below it count as "not more than this". */ readonly detectionLimitShare: number;
  /** Shares at or above it count as "not less than this". */ readonly fullLimitShare: number;
  /** Shares are written down in steps of this; 0: as measured. Limits stand half a step beyond the last share they take. */
  readonly recordingStepShare: number;
  /**
   * A share as near to the threshold as this counts as "not less than h minus it" where it is below h, and as "not more
   * than h plus it" from h up: the side is believed, the size is not. 0: sizes count up to the threshold.
   */
  readonly thresholdBandShare: number;
}

export const DETECTION_LIMIT_SHARE = 0.005;
export const FULL_LIMIT_SHARE = 0.995;

/** The usual limits with a threshold; unless said otherwise Weibull unit lengths and shares as measured. */
export const readingModel = (
  failureThresholdShare: number,
  {
    link = 'cloglog',
    recordingStepShare = 0,
    thresholdBandShare = 0,
  }: Partial<Pick<ReadingModel, 'link' | 'recordingStepShare' | 'thresholdBandShare'>> = {},
): ReadingModel => ({
  link,
  failureThresholdShare,
  detectionLimitShare: Math.min(DETECTION_LIMIT_SHARE, failureThresholdShare / 2),
  fullLimitShare: FULL_LIMIT_SHARE,
  recordingStepShare,
  thresholdBandShare,
});

/** Normal priors on log m and log tau; a gamma prior of shape 2 on omega, which keeps it off zero. */
export interface ConditionPrior {
  readonly logExponentMean: number;
  readonly logExponentSd: number;
  readonly logReadingSdMean: number;
  readonly logReadingSdSd: number;
  /** Mean of omega. */ readonly inspectorSdMean: number;
}

/**
 * Assumed, not published. Damage grows faster than in step with age: m about 2.5, within a factor of 2.7 either way.
 * One reading is right to a factor of 1.5 or so, and one inspector's habit to a fifth.
 */
export const CONDITION_PRIOR: ConditionPrior = {
  logExponentMean: Math.log(2.5),
  logExponentSd: 0.5,
  logReadingSdMean: Math.log(0.4),
  logReadingSdSd: 0.7,
  inspectorSdMean: 0.2,
};

/** How damage grows and is read. Standard errors come from the observed information at the mode. */
export interface DamageGrowth {
  /** m. */ readonly exponent: number;
  readonly logExponentSe: number;
  /** tau, on the link's scale: near a relative error for small shares. */ readonly readingSd: number;
  readonly logReadingSdSe: number;
  /** omega; 0 where fewer than two inspectors are named. */ readonly inspectorSd: number;
  /** c, one for each inspector: above 0 reads more damage than the average inspector. */
  readonly inspectorShift: Float64Array;
  readonly inspectorShiftSe: Float64Array;
  /** Readings of each inspector that count. */ readonly inspectorReadings: Int32Array;
}

/** What the readings amount to, for the rule on thin data and for the screen. */
export interface ReadingCounts {
  /** Readings in all. */ readonly readings: number;
  /** At age 0, and left out. */ readonly atAgeZero: number;
  /** At or below the detection limit. */ readonly atOrBelowLimit: number;
  /** At or above the full limit. */ readonly full: number;
  /** Within the band about the threshold. */ readonly atThreshold: number;
  /** Seals with at least one share strictly between the limits. */ readonly sealsWithShare: number;
  /** Seals with two or more. */ readonly sealsWithTwoShares: number;
}

/** Parameters as `ThetaPlaces` has them, and the Hessian of the log density there, row-major. */
export interface SearchMode {
  readonly theta: Float64Array;
  readonly hessian: Float64Array;
  /** `theta` and what `restrictedStep` adds to it: the estimates. */ readonly estimates: Float64Array;
}

export interface ConditionFit {
  /** False: the threshold model stands, for the reason in `sentence`. */ readonly used: boolean;
  /** One sentence for the screen. */ readonly sentence: string;
  /**
   * The life part: coefficients, scale, covariance and status. With `used: false` the threshold fit itself.
   * Its log-likelihood is that of ages and shares together (a density of shares, whatever the link), so it compares
   * between links and families, and with no fit of ages alone.
   */
  readonly life: AftFit;
  /** The fit of ages alone that the search began from; `life` itself with `used: false`. */ readonly agesAlone: AftFit;
  /** null with `used: false`. */ readonly growth: DamageGrowth | null;
  /**
   * Of the coefficients, log sigma (not for the exponential), log m, log tau and the shifts c, row-major; null where there is
   * none. Given omega.
   */
  readonly covariance: Float64Array | null;
  /** Where the search ended, on its own scale; null with `used: false`. */ readonly mode: SearchMode | null;
  readonly counts: ReadingCounts;
  readonly reading: ReadingModel;
}

/** Equally weighted draws of everything that a forecast needs. */
export interface ConditionDraws extends PosteriorDraws {
  /** Without growth the forecast is that of the threshold model. */ readonly growth: GrowthDraws | null;
  readonly reading: ReadingModel;
}

export interface GrowthDraws {
  /** m, one for each draw. */ readonly exponent: Float64Array;
  /** tau, one for each draw. */ readonly readingSd: Float64Array;
  readonly inspectors: number;
  /** Row-major, draws x inspectors. */ readonly inspectorShift: Float64Array;
}
