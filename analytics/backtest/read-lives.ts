import type { ConditionDraws, GrowthDraws, ReadingModel, ShareReadings } from '../condition/condition.ts';
import { ConditionKernel, MOST_POINTS } from '../condition/condition-kernel.ts';
import { prepareReadings } from '../condition/prepared-readings.ts';
import { GridLookUps, survivalInto } from '../condition/survival-on-grid.ts';
import type { Family, PosteriorDraws } from '../survival/aft.ts';
import type { LifeTrials, Trials } from './trial-table.ts';

/** Damaged shares known on a cut-off date, and how damage grows and is read by what was known then. */
export interface LifeShares {
  readonly growth: GrowthDraws;
  readonly reading: ReadingModel;
  /** One row for each seal of the histories, in their order. */ readonly readings: ShareReadings;
}

interface FittedLives {
  readonly family: Family;
  readonly draws: PosteriorDraws;
  readonly rows: Float64Array;
}

/** Chances of the trials of lives with damaged shares, under the condition-updated model of one cut-off date. */
export class ReadLives {
  private readonly trials: Trials;
  private readonly draws: number;
  private readonly start: Int32Array;
  private readonly kernel: ConditionKernel;
  private readonly density = new Float64Array(MOST_POINTS);
  private readonly survival = new Float64Array(MOST_POINTS);

  constructor(trials: Trials, { family, draws, rows }: FittedLives, { growth, reading, readings }: LifeShares) {
    this.trials = trials;
    this.draws = draws.draws;
    const prepared = prepareReadings(readings, reading);
    this.start = prepared.start;
    const all: ConditionDraws = { ...draws, growth, reading };
    this.kernel = new ConditionKernel({ covariates: rows, readings: prepared }, all, growth, family);
  }

  /** Whether a share after age 0 had been read on the seal by the cut-off. */
  isRead({ first }: LifeTrials): boolean {
    const seal = this.trials.seal[first];
    return this.start[seal] < this.start[seal + 1];
  }

  /** Row-major, draws x trials: 1 - S(look) / S(start), S given all shares and soundness at the last look by the cut-off. */
  chancesInto({ first, end }: LifeTrials, out: Float64Array): void {
    const { kernel, density, survival } = this;
    const { seal, fromYears, lookYears } = this.trials;
    kernel.turnTo(seal[first], Math.log(fromYears[first]));
    const looks = new GridLookUps(end - first);
    for (let i = first; i < end; i++) looks.place(i - first, Math.log(lookYears[i]), kernel);
    for (let d = 0; d < this.draws; d++) {
      kernel.densityInto(density, d);
      survivalInto(survival, density, kernel);
      const chances = out.subarray(d * (end - first), (d + 1) * (end - first));
      looks.failedInto(chances, survival, density);
      conditionOnSound(chances);
    }
  }
}

/** Turns chances of having failed by each look into chances of failing since the one before. */
function conditionOnSound(failedBy: Float64Array): void {
  let before = 0;
  for (let k = 0; k < failedBy.length; k++) {
    const by = failedBy[k];
    failedBy[k] = before < 1 ? Math.max(0, (by - before) / (1 - before)) : 1;
    before = Math.max(before, by);
  }
}
