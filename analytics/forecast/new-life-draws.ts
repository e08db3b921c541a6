import type { Family, PosteriorDraws } from '../survival/aft.ts';
import { failedByDrawInto, type NewLives } from './new-lives.ts';

/** Lives of new seals draw by draw. Curves are numbered on from one group of lives to the next. */
export interface NewLifeDraws {
  readonly draws: number;
  readonly oldestAge: number;
  /** Row-major, draws x (oldestAge + 1): chance of having failed by each whole age; used again for the next curve. */
  failedOf(curve: number): Float64Array;
}

/** Number of the first curve of each group when curves are numbered through all groups. */
export function curveOffsets(groups: readonly Pick<NewLives, 'failedByAge' | 'oldestAge'>[]): number[] {
  let before = 0;
  return groups.map(({ failedByAge, oldestAge }) => {
    const offset = before;
    before += failedByAge.length / (oldestAge + 1);
    return offset;
  });
}

/** Lives by the draws of a fitted model; each curve is worked out when it is asked for. */
export class ModelNewLives implements NewLifeDraws {
  readonly draws: number;
  readonly oldestAge: number;
  private readonly groups: readonly NewLives[];
  private readonly offsets: readonly number[];
  private readonly table: Float64Array;
  private readonly model: PosteriorDraws;
  private readonly family: Family;

  constructor(groups: readonly NewLives[], model: PosteriorDraws, family: Family, oldestAge: number) {
    this.groups = groups;
    this.offsets = curveOffsets(groups);
    this.model = model;
    this.family = family;
    this.draws = model.draws;
    this.oldestAge = oldestAge;
    this.table = new Float64Array(model.draws * (oldestAge + 1));
  }

  failedOf(curve: number): Float64Array {
    const { groups, offsets, model, family, oldestAge, table } = this;
    let group = groups.length - 1;
    while (offsets[group] > curve) group--;
    const width = model.coefficients.length / model.draws;
    const at = (curve - offsets[group]) * width;
    const ofCurve = (curve - offsets[group]) * model.draws;
    const effects = groups[group].effects?.subarray(ofCurve, ofCurve + model.draws) ?? null;
    failedByDrawInto(table, groups[group].rows.subarray(at, at + width), model, family, { oldestAge, effects });
    return table;
  }
}
