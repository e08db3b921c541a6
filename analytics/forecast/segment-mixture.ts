import type { Family, PosteriorDraws } from '../survival/aft.ts';
import { type AgeGrid, segmentAgesInto } from './age-grid.ts';
import { conditionalSurvivalInto, failedMassInto, type LifeDraw } from './conditional-kernel.ts';
import { type DamageRule, damagePointer, damageWeightsInto } from './damage-rule.ts';
import { addEffects, type SharedEffects } from './shared-effects.ts';
import { type SurvivalTable, survivalTable } from './standard-life.ts';

/** What is known of each segment's seal in place. One entry per segment; ages in years since installation. */
export interface SegmentKnowledge {
  readonly count: number;
  /** Row-major, count x coefficients, columns as in the fit. */ readonly covariates: Float64Array;
  /** Age at the last look that found it sound, 0 where there was none. */ readonly soundAgeYears: Float64Array;
  /** Age at the planning date. */ readonly planningAgeYears: Float64Array;
  /** Age at which it was found failed; NaN unless it is known to have failed. */
  readonly foundFailedAgeYears: Float64Array;
  /** Damaged share at the last sound look, when above 0 and below the threshold; NaN otherwise. */
  readonly damageShare: Float64Array;
  /** Effects of districts, facilities and lots; left out: segments share nothing but the parameters. */
  readonly shared?: SharedEffects | null;
}

export interface ForecastOptions {
  /** Share of the planning year that lies ahead of the planning date, above 0, at most 1. */ readonly yearLeft: number;
  /** Whole years after the planning year. */ readonly horizonYears: number;
  readonly failureThresholdShare: number;
  /** null: damaged shares below the threshold are not used. */ readonly damageRule: DamageRule | null;
  /** Draws lie close together, as those of very many seals do: where they do for a segment, a few points stand for them. */
  readonly closeDraws?: boolean;
}

/** Survival of one segment at the points of the grid, averaged over draws. Buffers are reused from one to the next. */
export class SegmentMixture {
  readonly ages: Float64Array;
  /** Mean survival at `ages`; filled in parts, as asked. */ readonly mean: Float64Array;
  private readonly logAges: Float64Array;
  private readonly each: Float64Array;
  private readonly weights: Float64Array;
  private readonly etas: Float64Array;
  /** Of a new seal; the same array where that differs in nothing. */ private readonly newEtas: Float64Array;
  private readonly perSigmas: Float64Array;
  private readonly draw: LifeDraw = { eta: 0, perSigma: 1 };
  private readonly table: SurvivalTable;
  private readonly known: SegmentKnowledge;
  /** Coefficients, column after column, one entry per draw. */ private readonly columns: Float64Array;
  private readonly grid: AgeGrid;
  private readonly options: ForecastOptions;
  private readonly single = { logAge: new Float64Array(1), survival: new Float64Array(1) };
  /** Age at which the segment was last known sound. */ soundAge = 0;
  private logStart = Number.NEGATIVE_INFINITY;
  private evidence = false;

  constructor(known: SegmentKnowledge, draws: PosteriorDraws, family: Family, grid: AgeGrid, options: ForecastOptions) {
    this.known = known;
    this.columns = transposed(draws);
    this.grid = grid;
    this.options = options;
    this.table = survivalTable(family);
    this.ages = new Float64Array(grid.length);
    this.logAges = new Float64Array(grid.length);
    this.mean = new Float64Array(grid.length);
    this.each = new Float64Array(grid.length);
    this.weights = new Float64Array(grid.length + 1);
    this.etas = new Float64Array(draws.draws);
    const lots = known.shared?.groupings.some(({ ofSeal }) => ofSeal);
    this.newEtas = lots ? new Float64Array(draws.draws) : this.etas;
    this.perSigmas = draws.scale.map((sigma) => 1 / sigma);
  }

  /** Turns to segment `i`. Returns whether damage evidence makes every point of the grid needed at once. */
  turnTo(i: number): boolean {
    const { known, ages, logAges, grid, options } = this;
    const soundAge = Math.max(0, known.soundAgeYears[i]);
    this.soundAge = soundAge;
    const planningAge = Math.max(soundAge, known.planningAgeYears[i]);
    segmentAgesInto(ages, grid, soundAge, planningAge);
    for (let j = 0; j < ages.length; j++) logAges[j] = Math.log(ages[j]);
    this.logStart = Math.log(soundAge);
    this.etasOf(i);
    const share = known.damageShare[i];
    const { damageRule, failureThresholdShare } = options;
    this.evidence = damageRule !== null && soundAge > 0 && share > 0 && share < failureThresholdShare;
    if (this.evidence && damageRule) {
      const pointer = damagePointer(soundAge, share, failureThresholdShare, damageRule);
      damageWeightsInto(this.weights, ages, 0, ages.length, soundAge, pointer, damageRule.logSd);
    }
    return this.evidence;
  }

  /** Fills `mean[from..to)`. With damage evidence the range must be the whole grid. */
  fill(from: number, to: number): void {
    const { mean } = this;
    const perDraw = 1 / this.etas.length;
    mean.fill(0, from, to);
    this.eachDraw(from, to, (_draw, _eta, failed, share) => {
      for (let j = from; j < to; j++) mean[j] += share * failed[j];
    });
    for (let j = from; j < to; j++) mean[j] = Math.min(1, Math.max(0, 1 - mean[j] * perDraw));
  }

  /**
   * Hands out, draw by draw, what has failed by the ages `from..to`: `failed[j]` times `share`, and the mean log life of a
   * new seal. With damage evidence the range must be the whole grid. `failed` is used again for the next draw.
   */
  eachDraw(
    from: number,
    to: number,
    visit: (draw: number, eta: number, failed: Float64Array, share: number) => void,
  ): void {
    const { each, logAges, draw, etas, newEtas, perSigmas, table, logStart } = this;
    const weights = this.evidence ? this.weights : null;
    for (let d = 0; d < etas.length; d++) {
      draw.eta = etas[d];
      draw.perSigma = perSigmas[d];
      visit(d, newEtas[d], each, failedMassInto(each, logAges, from, to, logStart, draw, table, weights));
    }
  }

  /** Age between two ages at which survival falls to a target, by false position (Illinois rule). */
  ageInside(cell: { left: number; right: number; before: number; after: number; target: number }): number {
    let { left, right } = cell;
    let [above, below] = [cell.before - cell.target, cell.after - cell.target];
    // Damage evidence is known cell by cell, so nothing finer than a straight line is to be had from it.
    const steps = this.evidence ? 0 : 8;
    for (let step = 0; step < steps && right - left > 0.01; step++) {
      const middle = left + ((right - left) * above) / (above - below);
      const value = this.survivalAt(middle) - cell.target;
      if (value > 0) {
        [left, above] = [middle, value];
        below *= 0.5;
      } else {
        [right, below] = [middle, value];
        above *= 0.5;
      }
      if (Math.abs(value) < 1e-3) return middle;
    }
    return above > below ? left + ((right - left) * above) / (above - below) : right;
  }

  private survivalAt(age: number): number {
    const { etas, perSigmas, draw, single, logStart, table } = this;
    single.logAge[0] = Math.log(age);
    let sum = 0;
    for (let d = 0; d < etas.length; d++) {
      draw.eta = etas[d];
      draw.perSigma = perSigmas[d];
      conditionalSurvivalInto(single.survival, single.logAge, 0, 1, logStart, draw, table);
      sum += single.survival[0];
    }
    return sum / etas.length;
  }

  /**
   * Mean log life of a new seal of segment `i`, one entry per draw; used again for the next segment. Column by column:
   * most entries of a row are 0, and no sum waits for the one before.
   */
  etasOf(i: number): Float64Array {
    const { etas, newEtas, columns } = this;
    const { covariates, shared } = this.known;
    const width = columns.length / etas.length;
    etas.fill(0);
    for (let k = 0; k < width; k++) {
      const value = covariates[i * width + k];
      if (value === 0) continue;
      const at = k * etas.length;
      for (let d = 0; d < etas.length; d++) etas[d] += columns[at + d] * value;
    }
    if (!shared) return etas;
    addEffects(etas, shared, i, 'place');
    if (newEtas === etas) return etas;
    newEtas.set(etas);
    addEffects(etas, shared, i, 'seal');
    return newEtas;
  }
}

function transposed({ coefficients, draws }: PosteriorDraws): Float64Array {
  const width = coefficients.length / draws;
  return Float64Array.from({ length: coefficients.length }, (_, at) => {
    const k = Math.floor(at / draws);
    return coefficients[(at - k * draws) * width + k];
  });
}
