import type { SumThreads } from '../numeric/chunk-sums.ts';
import type { AftPrior, Family, FitStatus } from '../survival/aft.ts';
import type { LevelEffect } from './level-effects.ts';
import type { SpreadPrior } from './marginal-likelihood.ts';

export interface PooledOptions {
  readonly family: Family;
  /** On coefficients and log sigma; null: none. */ readonly prior: AftPrior | null;
  /** On the spread of each grouping; `DEFAULT_SPREAD_PRIOR` unless given; null: none. */
  readonly spreadPrior?: SpreadPrior | null;
  /** One for each grouping, above 0: spreads that are taken as known. */ readonly fixedSds?: readonly number[];
  /** Integrate coefficients out too when sigma and spreads are sought; true unless given. */ readonly restricted?: boolean;
  /** Of all intervals; 0.8 unless given. */ readonly level?: number;
  /** Whoever finds modes and adds up likelihoods; this thread alone unless given. The fit is the same bits. */
  readonly threads?: SumThreads;
}

export interface PooledGrouping {
  readonly name: string;
  /** Standard deviation of log life among levels; 0 where none shows. null: one level only, so nothing to compare. */
  readonly sd: number | null;
  readonly sdLower: number | null;
  readonly sdUpper: number | null;
  /** In the order of the grouping's `levels`. */ readonly levels: readonly LevelEffect[];
  /** Weight of rows whose level is not recorded; they count as of the average level. */ readonly unknownSeals: number;
  readonly sentence: string;
}

export interface PooledFit {
  readonly family: Family;
  readonly names: readonly string[];
  /** Original covariate scale, for the average level of every grouping. */ readonly coefficients: Float64Array;
  /** null where there is no fit. */ readonly coefficientErrors: Float64Array | null;
  readonly scale: number;
  /** Log-likelihood with effects and coefficients integrated out; null where there is no fit. */
  readonly marginalLogLikelihood: number | null;
  readonly groupings: readonly PooledGrouping[];
  readonly level: number;
  readonly observations: number;
  readonly failures: number;
  readonly iterations: number;
  readonly converged: boolean;
  readonly status: FitStatus;
  /** One sentence each, with the remedy. */ readonly warnings: readonly string[];
  readonly droppedNames: readonly string[];
}
