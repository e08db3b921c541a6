import type { KnownBefore } from '../../analytics/backtest/backtest-trials.ts';
import type { CutoffModel } from '../../analytics/backtest/trial-forecast.ts';
import type { ShareLink } from '../../analytics/condition/share-link.ts';
import { aftDataOf, type JudgedModel, type Refit, refit, refitWithShares, type SharesRefit } from './fit-rows.ts';

/** What the model in use is, and what its refits need. */
export interface PastModelInputs {
  readonly model: JudgedModel;
  /** It reads damaged shares. */ readonly readsShares: boolean;
  /** Design rows of the seals of the tried histories, in their order. */ readonly matrix: Float64Array;
  readonly failureThresholdShare: number;
}

/** Fits to what was known on one cut-off date. */
export interface CutoffFit {
  readonly known: KnownBefore;
  readonly ages: Refit;
  /** null: the model in use knows nothing of damaged shares. */ readonly read: SharesRefit | null;
}

export interface PastModels {
  /** One for each cut-off, as all lists here. */ readonly fits: readonly CutoffFit[];
  readonly agesAlone: readonly CutoffModel[];
  /** The model in use; null: shares were too few at every cut-off, or it does not read them. */
  readonly withShares: readonly CutoffModel[] | null;
}

/**
 * Fits the model in use again, for each cut-off date to what was known then.
 * @param onFit called with the share of the fits done, 0 to 1; what it throws stops the work
 */
export function pastModels(
  inputs: PastModelInputs,
  knownBefore: readonly KnownBefore[],
  onFit: (shareDone: number) => void = () => undefined,
): PastModels {
  // How shares grow stays as the first cut-off that could tell has found it: finding it takes three fits.
  let link: ShareLink | undefined;
  const fits = knownBefore.map((known, c) => {
    const tell = (partDone: number): void => onFit((c + partDone) / knownBefore.length);
    const fitted = fitBefore(inputs, known, link, tell);
    link = fitted.read?.shares?.reading.link ?? link;
    return fitted;
  });
  const { model, matrix } = inputs;
  const modelOf = ({ draws }: Refit, read: SharesRefit | null): CutoffModel => {
    return { family: model.family, draws, rows: matrix, shares: read?.shares ?? null };
  };
  return {
    fits,
    agesAlone: fits.map(({ ages }) => modelOf(ages, null)),
    withShares: fits.some(({ read }) => read?.shares)
      ? fits.map(({ ages, read }) => modelOf(read ?? ages, read))
      : null,
  };
}

/** Of the time that fits for one cut-off take, what those of ages alone take. */
const AGES_PART = 0.2;

function fitBefore(
  { model, readsShares, matrix, failureThresholdShare }: PastModelInputs,
  known: KnownBefore,
  link: ShareLink | undefined,
  tell: (partDone: number) => void,
): CutoffFit {
  tell(0);
  const { rows, readings } = known;
  const data = aftDataOf(model, rows, matrix);
  const ages = refit(model, data);
  tell(AGES_PART);
  const read = readsShares
    ? refitWithShares(model, { data, seal: rows.seal, refit: ages }, { readings, failureThresholdShare, link })
    : null;
  return { known, ages, read };
}
