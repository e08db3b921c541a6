import type { RowInformation } from '../condition/row-information.ts';
import type { AftData, AftFit, AftPrior } from '../survival/aft.ts';
import { type LevelPeak, type LevelQuadratic, levelPlaces, levelQuadratic } from './level-quadratic.ts';
import { type LevelSpreads, levelSpreads, NO_SPREAD } from './level-spreads.ts';
import type { Grouping } from './pooled-rows.ts';

/** One fit of the model with the effects of levels taken as known: lives are measured in units of exp(effect). */
export interface OffsetFit {
  readonly life: AftFit;
  /** Of one in so many rows, at that fit; worked out when asked for. */
  readonly information: (oneIn: number) => RowInformation;
}

export interface GroupingChoice {
  readonly name: string;
  readonly used: boolean;
  /** SD of log life among levels; 0 where none shows. null: fewer than two levels on record. */
  readonly sd: number | null;
  /** SD of the logarithm of that SD; null where not used. */ readonly logSdSe: number | null;
  /** Twice the gain in log marginal likelihood from letting the levels differ, all chosen groupings in. */
  readonly gain: number;
}

export interface PooledLevels<Fit extends OffsetFit> {
  readonly choices: readonly GroupingChoice[];
  /** null: no grouping is used, and the first fit stands. */ readonly pooled: PooledEffects<Fit> | null;
}

export interface PooledEffects<Fit extends OffsetFit> {
  /** Fitted with these effects: of all groupings in turn, zeros where one is not used. */ readonly fit: Fit;
  readonly effects: Float64Array;
  /** What that fit says of effects and coefficients together, and its peak. */ readonly quadratic: LevelQuadratic;
  readonly peak: LevelPeak;
  /** Degrees of freedom that the effects take. */ readonly freedom: number;
}

/**
 * Fits with the given effects, in the order of `levelPlaces`; null where that fails. `rough`: near will do, for the effects are
 * improved once more.
 */
export type FitAt<Fit> = (effects: Float64Array, rough: boolean) => Fit | null;

/**
 * Twice the log marginal likelihood that letting a grouping differ must gain: the 5 % point where a variance is tested against
 * 0, an even mixture of chi-square with 0 and 1 degrees. Source: Self and Liang (J. Amer. Statist. Assoc. 82, 1987).
 */
export const LEAST_GAIN = 2.706;
/** Information worth so many failures is needed before levels are compared. */
export const LEAST_FAILURES_WORTH = 20;
const START_SD = 0.1;
const MOST_ROUNDS = 4;
/** So many rows are asked whether levels differ at all, and tell the effects to begin with. */
const ROWS_FOR_FIRST_LOOK = 30_000;
/** Of log marginal likelihood: what they tell is looked at again with all rows. */
const GAIN_AT_FIRST_LOOK = 0.1;
/** With more rows, after that beginning. */
const ROUNDS_OF_MANY = 1;
/** Spreads and effects that change by less than this stand. */
const CLOSE_LOG_SD = 0.05;
const CLOSE_EFFECT = 0.01;

/**
 * Brings effects of lots, facilities or districts into a fit: log T = x'beta + sum of effects + sigma W, effects N(0, sd²) for
 * each grouping, sds by empirical Bayes with Laplace's approximation about the fit. Groupings that do not gain
 * `LEAST_GAIN` are left out, the weakest first. Fit and effects are improved in turn until they agree.
 * @param first fit without effects
 * @returns null where there is too little to compare levels by, or no fit with effects was found
 */
export function pooledLevels<Fit extends OffsetFit>(
  data: AftData,
  groupings: readonly Grouping[],
  prior: AftPrior,
  { first, fitAt }: { readonly first: OffsetFit; readonly fitAt: FitAt<Fit> },
): PooledLevels<Fit> | null {
  const rows = data.lower.length;
  const comparable = groupings.map(({ index }) => new Set(index.filter((level) => level >= 0)).size > 1);
  const none = new Float64Array(levelPlaces(groupings, 0).size);
  const look = ({ life: { coefficients } }: OffsetFit, effects: Float64Array, information: RowInformation) =>
    levelQuadratic(data, groupings, prior, { information, effects, coefficients });

  const oneIn = Math.max(1, Math.floor(rows / ROWS_FOR_FIRST_LOOK));
  const seen = first.information(oneIn);
  if (oneIn * failuresWorth(data, seen, first.life.scale) < LEAST_FAILURES_WORTH) return null;
  const noneUsed = { choices: groupings.map(({ name }, g) => unused(name, comparable[g], 0)), pooled: null };
  const start = groupings.map(() => START_SD);
  const many = oneIn > 1;
  const mostRounds = many ? ROUNDS_OF_MANY : MOST_ROUNDS;
  let state: (Spread & { readonly fit: Fit; readonly rough: boolean }) | null = null;
  if (many) {
    if (!groupings.some((grouping) => standsOut(data, grouping, seen))) return noneUsed;
    const quadratic = look(first, none, seen);
    const few = levelSpreads(quadratic, start, comparable, GAIN_AT_FIRST_LOOK);
    if (few?.sds.every((sd) => sd === NO_SPREAD)) return noneUsed;
    const effects = few && effectsOf(quadratic, few);
    const fit = effects && fitAt(effects, true);
    if (!few || !effects || !fit) return null;
    state = { fit, effects, sds: few.sds, rough: true };
  }

  let taking = comparable;
  for (let round = 1; ; round++) {
    const { fit: present, effects: held } = state ?? { fit: first, effects: none };
    const quadratic = look(present, held, state ? present.information(1) : seen);
    const chosen = chooseGroupings(quadratic, state?.sds ?? start, taking);
    if (!chosen) return null;
    const { spreads, gains } = chosen;
    const used = spreads.sds.map((sd) => sd !== NO_SPREAD);
    const choices = groupings.map(({ name }, g) =>
      used[g] ? usedGrouping(name, spreads, gains[g], g) : unused(name, comparable[g], gains[g]),
    );
    if (!used.some(Boolean)) return { choices, pooled: null };
    const effects = effectsOf(quadratic, spreads);
    const settled: boolean = state !== null && agree(state, { effects, sds: spreads.sds });
    if (state && !state.rough && (settled || round > mostRounds))
      return {
        choices,
        pooled: {
          ...{ fit: state.fit, effects: state.effects, quadratic, peak: spreads.peak },
          freedom: spreads.freedoms.reduce((sum, freedom) => sum + freedom, 0),
        },
      };
    const fit = fitAt(effects, false);
    if (!fit) return null;
    // What was left out while the first fit's wide scale hid it may come back once.
    if (round > 1 || many) taking = used;
    state = { fit, effects, sds: spreads.sds, rough: false };
  }
}

interface Spread {
  readonly effects: Float64Array;
  readonly sds: readonly number[];
}

const agree = (before: Spread, now: Spread): boolean =>
  before.effects.every((effect, l) => Math.abs(effect - now.effects[l]) < CLOSE_EFFECT) &&
  before.sds.every((sd, g) => Math.abs(Math.log(sd / now.sds[g])) < CLOSE_LOG_SD);

/**
 * Whether the scores of a grouping's levels vary more than they would without effects: their squares sum to more than the
 * information by one standard deviation, too little to go by and enough to look closer.
 * Source of the score test of a variance: Liang (Biometrika 74, 1987).
 */
function standsOut({ weight }: AftData, { index, levels }: Grouping, { slope, information }: RowInformation): boolean {
  const scores = new Float64Array(levels.length);
  const known = new Float64Array(levels.length);
  for (let i = 0; i < weight.length; i++) {
    if (index[i] < 0) continue;
    scores[index[i]] += weight[i] * slope[i];
    known[index[i]] += weight[i] * information[i];
  }
  let [excess, variance] = [0, 0];
  for (let l = 0; l < levels.length; l++) {
    excess += scores[l] ** 2 - known[l];
    variance += 2 * known[l] ** 2;
  }
  return excess > Math.sqrt(variance);
}

/** How many failures know as much of log life as all rows together: each tells 1 / sigma². */
function failuresWorth({ weight }: AftData, { information }: RowInformation, scale: number): number {
  let sum = 0;
  for (let i = 0; i < weight.length; i++) sum += weight[i] * information[i];
  return sum * scale * scale;
}

/** Spreads of the groupings that gain enough, found by leaving out the weakest again and again. */
function chooseGroupings(quadratic: LevelQuadratic, start: readonly number[], taking: readonly boolean[]) {
  const gains = taking.map(() => 0);
  let kept = [...taking];
  let spreads = levelSpreads(quadratic, start, kept);
  while (spreads) {
    const now = spreads;
    kept = now.sds.map((sd) => sd !== NO_SPREAD);
    const without = kept.map((uses, g) => uses && levelSpreads(quadratic, now.sds, kept.with(g, false)));
    let weakest = -1;
    for (const [g, other] of without.entries()) {
      if (!other) continue;
      gains[g] = Math.max(0, 2 * (now.peak.logMarginal - other.peak.logMarginal));
      if (gains[g] < LEAST_GAIN && (weakest < 0 || gains[g] < gains[weakest])) weakest = g;
    }
    const less = without[weakest];
    if (!less) return { spreads: now, gains };
    spreads = less;
  }
  return null;
}

function effectsOf({ places: { levelStart } }: LevelQuadratic, { peak, sds }: LevelSpreads): Float64Array {
  const out = peak.at.slice(0, levelStart[sds.length]);
  for (const [g, sd] of sds.entries()) if (sd === NO_SPREAD) out.fill(0, levelStart[g], levelStart[g + 1]);
  return out;
}

const unused = (name: string, comparable: boolean, gain: number): GroupingChoice => ({
  ...{ name, used: false, logSdSe: null, gain },
  sd: comparable ? 0 : null,
});

const usedGrouping = (name: string, { sds, freedoms }: LevelSpreads, gain: number, g: number): GroupingChoice => ({
  ...{ name, used: true, gain },
  sd: sds[g],
  // The log of a variance estimated with so many degrees of freedom has variance 2 / freedom; that of the SD a fourth.
  logSdSe: Math.sqrt(0.5 / Math.max(1, freedoms[g])),
});
