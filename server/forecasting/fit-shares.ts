import type { ConditionData, ConditionDraws, ConditionFit } from '../../analytics/condition/condition.ts';
import { conditionDraws } from '../../analytics/condition/condition-draws.ts';
import { type ConditionDesign, conditionDesign, fitCondition } from '../../analytics/condition/fit-condition.ts';
import { learnReading } from '../../analytics/condition/learn-reading.ts';
import type { ShareLink } from '../../analytics/condition/share-link.ts';
import type { SumThreads } from '../../analytics/numeric/chunk-sums.ts';
import type { AftPrior, Family } from '../../analytics/survival/aft.ts';

export interface SharesOptions {
  readonly family: Family;
  readonly prior: AftPrior;
  /** Above 0 and below `FULL_LIMIT_SHARE`. */ readonly failureThresholdShare: number;
  /** Learnt before; left out: the likeliest. */ readonly link?: ShareLink;
  /** Near the mode will do. */ readonly rough?: boolean;
  readonly draws: number;
  readonly seed: number;
  /** Left out: this thread alone, with the same bits. */ readonly threads?: SumThreads;
}

export interface SharesFit {
  readonly found: ConditionFit;
  /** For more fits of the same covariates; made when first asked for. */ readonly design: () => ConditionDesign;
  /** For a fit whose life converged. */ readonly draw: () => ConditionDraws;
}

/**
 * Ages and damaged shares as one model: how shares are to be read is learnt from them first. The same for the forecast and
 * for its trial on the past.
 */
export function fitShares(
  data: ConditionData,
  { failureThresholdShare, link, draws, seed, ...life }: SharesOptions,
): SharesFit {
  const reading = learnReading(data, failureThresholdShare, life, link);
  let made: ConditionDesign | null = null;
  const design = (): ConditionDesign => {
    made ??= conditionDesign(data, life.prior);
    return made;
  };
  const options = { ...life, reading, design };
  const found = fitCondition(data, options);
  return { found, design, draw: () => conditionDraws(data, found, { ...options, draws, seed }) };
}
