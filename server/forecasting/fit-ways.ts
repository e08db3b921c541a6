import type { ConditionData, ConditionDraws, ConditionFit } from '../../analytics/condition/condition.ts';
import { conditionDraws } from '../../analytics/condition/condition-draws.ts';
import { fitCondition, refitCondition } from '../../analytics/condition/fit-condition.ts';
import { ageInformation, conditionInformation } from '../../analytics/condition/row-information.ts';
import type { SumThreads } from '../../analytics/numeric/chunk-sums.ts';
import type { OffsetFit } from '../../analytics/pooling/pooled-levels.ts';
import { scaledAges } from '../../analytics/pooling/scaled-ages.ts';
import type { AftData, AftPrior, PosteriorDraws } from '../../analytics/survival/aft.ts';
import { fitAft } from '../../analytics/survival/fit-aft.ts';
import { posteriorDraws } from '../../analytics/survival/posterior.ts';
import type { Family } from '../schemas/words.ts';
import type { Refittable } from './fit-levels.ts';
import { fitShares } from './fit-shares.ts';

interface WayOptions {
  readonly family: Family;
  readonly prior: AftPrior;
  readonly draws: number;
  readonly seed: number;
  readonly threads: SumThreads;
}

/** With more rows a first fit near the mode will do: effects of levels change it anyway. */
const MANY_ROWS = 50_000;

interface AgesFit extends OffsetFit {
  readonly rows: AftData;
}

interface SharesFit extends OffsetFit {
  readonly found: ConditionFit;
  readonly rows: ConditionData;
}

/** Fits ages alone. @throws Error saying why a fit did not converge */
export function fitOfAges(data: AftData, options: WayOptions): Refittable<AgesFit, PosteriorDraws> {
  const { prior, seed } = options;
  const fitTo = (rows: AftData): AgesFit => {
    const life = fitAft(rows, options);
    return { life, rows, information: (oneIn) => ageInformation(rows, life, oneIn, options.threads) };
  };
  const first = converged(fitTo(data));
  return {
    ...{ data, prior, seed, first },
    finished: () => first,
    fitWith: (effect) => {
      const fit = fitTo(scaledAges(data, effect));
      return fit.life.converged ? fit : null;
    },
    drawsOf: ({ rows, life }) => posteriorDraws(rows, life, prior, options),
  };
}

/** Fits ages and damaged shares, or ages alone where shares are too few. @throws Error saying why a fit did not converge */
export function fitOfShares(
  data: ConditionData,
  options: WayOptions & { readonly failureThresholdShare: number },
): Refittable<SharesFit, ConditionDraws> {
  const { prior, seed } = options;
  const fitOf = (rows: ConditionData, found: ConditionFit): SharesFit => ({
    ...{ life: found.life, found, rows },
    information: (oneIn) => conditionInformation(rows, found, oneIn, options.threads),
  });
  const rough = data.lower.length > MANY_ROWS;
  const { found: near, design } = fitShares(data, { ...options, rough });
  const first = converged(fitOf(data, near));
  const asRead = { ...options, reading: near.reading, design };
  let nearest = first.found;
  return {
    ...{ data, prior, seed, first },
    finished: () => {
      if (!rough || !first.found.used) return first;
      const found = refitCondition(data, first.found, asRead);
      return found ? converged(fitOf(data, found)) : first;
    },
    fitWith: (effect, rough) => {
      const rows = scaledAges(data, effect);
      const found = first.found.used ? refitCondition(rows, nearest, { ...asRead, rough }) : fitCondition(rows, asRead);
      nearest = found ?? nearest;
      return found?.life.converged && found.used === first.found.used ? fitOf(rows, found) : null;
    },
    drawsOf: ({ rows, found }) => conditionDraws(rows, found, asRead),
  };
}

function converged<Fit extends OffsetFit>(fit: Fit): Fit {
  const { status, warnings } = fit.life;
  if (!fit.life.converged) throw new Error(`The fit did not converge (${status}). ${warnings.join(' ')}`);
  return fit;
}
