/** Families of log T = x'beta + sigma W: W smallest extreme value, normal or logistic; exponential has sigma 1. */
export type Family = 'weibull' | 'lognormal' | 'loglogistic' | 'exponential';

/** Rows of one fit. Arrays hold one entry per row; times share one unit, usually years. */
export interface AftData {
  /** Age at which the seal came under observation, 0 or more (delayed entry). */ readonly entry: Float64Array;
  /** Last age known sound, 0 or more; equal to `upper` for an exact failure age. */ readonly lower: Float64Array;
  /** First age known failed; Infinity while sound. */ readonly upper: Float64Array;
  /** Frequency weight, above 0. */ readonly weight: Float64Array;
  /** Row-major, rows x names.length, without the intercept. */ readonly covariates: Float64Array;
  readonly names: readonly string[];
  /** True: a first coefficient "(Intercept)". False: the columns span it (one column per class). */
  readonly intercept: boolean;
}

/** Independent normal priors on the coefficients of the original scale, in coefficient order, and on log sigma. */
export interface AftPrior {
  readonly means: readonly number[];
  /** Infinity: flat. */ readonly sds: readonly number[];
  readonly logScaleMean: number;
  readonly logScaleSd: number;
}

export type FitStatus =
  | 'ok'
  | 'weak'
  | 'no-events'
  | 'separated'
  | 'shape-at-boundary'
  | 'nonconcave'
  | 'max-iter'
  | 'nonfinite';

export interface AftFit {
  readonly family: Family;
  /** "(Intercept)" first where there is one. */ readonly names: readonly string[];
  /** On the original covariate scale. */ readonly coefficients: Float64Array;
  readonly scale: number;
  readonly logLikelihood: number;
  /** Of coefficients then log sigma (exponential: coefficients only), row-major; null where not positive definite. */
  readonly covariance: Float64Array | null;
  /** Sum of weights. */ readonly observations: number;
  /** Sum of weights of rows with a finite upper age. */ readonly failures: number;
  readonly iterations: number;
  readonly converged: boolean;
  readonly status: FitStatus;
  /** One sentence each, with the remedy. */ readonly warnings: readonly string[];
  /** Columns left out because others determine them. */ readonly droppedNames: readonly string[];
}

/** Equally weighted draws from the posterior (importance-resampled from the Laplace approximation). */
export interface PosteriorDraws {
  readonly draws: number;
  /** Row-major, draws x coefficients. */ readonly coefficients: Float64Array;
  /** One per draw. */ readonly scale: Float64Array;
  readonly effectiveSampleSize: number;
  readonly paretoK: number;
  /**
   * `laplace`: many rows and a posterior so near to normal that weights were checked on a part and then left out;
   * `prior`: nothing was observed.
   */
  readonly method?: 'importance' | 'laplace' | 'prior';
}
