import normalQuantile from '@stdlib/stats-base-dists-normal-quantile';

/**
 * What segments share beyond covariates: effects on log life of their district, facility and lot, draw by draw. All segments
 * of one level have the level's effect of a draw, so sums over a network keep what they share.
 */
export interface SharedEffects {
  readonly groupings: readonly EffectsOfLevels[];
  /** Row-major, segments x groupings: the level of each. */ readonly level: Int32Array;
  /**
   * SD of the effect of a lot that is not laid yet, one for each draw: a new seal is of another lot. null: nothing is drawn anew.
   */
  readonly newSealSd: Float64Array | null;
}

export interface EffectsOfLevels {
  /** Level by level, levels x draws. */ readonly effects: Float32Array;
  /** It goes with the seal: a new seal of the segment has another. */ readonly ofSeal: boolean;
}

/** Adds the effects on segment `i` to its mean log lives, one for each draw: those of its seal, or those of its place. */
export function addEffects(
  etas: Float64Array,
  { groupings, level }: SharedEffects,
  i: number,
  which: 'seal' | 'place',
): void {
  for (let g = 0; g < groupings.length; g++) {
    const { effects, ofSeal } = groupings[g];
    if (ofSeal !== (which === 'seal')) continue;
    const from = level[i * groupings.length + g] * etas.length;
    for (let d = 0; d < etas.length; d++) etas[d] += effects[from + d];
  }
}

/** Sum of all effects on segment `i` under one of so many draws. */
export function effectUnder({ groupings, level }: SharedEffects, i: number, draw: number, draws: number): number {
  let sum = 0;
  for (let g = 0; g < groupings.length; g++)
    sum += groupings[g].effects[level[i * groupings.length + g] * draws + draw];
  return sum;
}

/** The same effects for some of the segments. */
export function effectsOfSome(shared: SharedEffects, members: ArrayLike<number>): SharedEffects {
  const width = shared.groupings.length;
  const level = new Int32Array(members.length * width);
  for (let k = 0; k < members.length; k++)
    level.set(shared.level.subarray(members[k] * width, (members[k] + 1) * width), k * width);
  return { ...shared, level };
}

/** Mean and SD over the draws of the effects of its place and of a new lot: what tells new seals of segments apart. */
export function newSealSpread(
  { groupings, level, newSealSd }: SharedEffects,
  i: number,
  draws: number,
): { readonly mean: number; readonly variance: number } {
  let [sum, squares] = [0, 0];
  for (let d = 0; d < draws; d++) {
    let effect = 0;
    for (let g = 0; g < groupings.length; g++)
      if (!groupings[g].ofSeal) effect += groupings[g].effects[level[i * groupings.length + g] * draws + d];
    sum += effect / draws;
    squares += (effect * effect + (newSealSd ? newSealSd[d] ** 2 : 0)) / draws;
  }
  return { mean: sum, variance: Math.max(0, squares - sum * sum) };
}

const GOLDEN = (Math.sqrt(5) - 1) / 2;
/** Evenly spread over (0, 1), whatever the number of draws. Source: Weyl's equidistribution theorem. */
const evenShare = (d: number): number => ((d + 0.5) * GOLDEN) % 1;

/** Effects on a new seal, one for each draw: of its place, and of some lot, lots evenly spread over the draws. */
export function newSealEffects(shared: SharedEffects, i: number, draws: number): Float64Array {
  const { newSealSd } = shared;
  const out = Float64Array.from({ length: draws }, (_, d) =>
    newSealSd ? newSealSd[d] * normalQuantile(evenShare(d), 0, 1) : 0,
  );
  addEffects(out, shared, i, 'place');
  return out;
}
