/**
 * What a damaged share below the failure threshold says about the life that is left.
 *
 * Damage is taken to grow as a power of age and to reach the threshold h at the failure age T:
 *
 *     share(t) = h (t / T)^m    so that    log T = log t + log(h / share) / m
 *
 * A seal with 5 % damaged at 6 years, h = 10 % and m = 3 points to T = 6 x 2^(1/3) = 7.6 years. The pointer is blurred by a
 * normal error of SD tau on log T. It multiplies the life density of the fitted model, given soundness at the look:
 *
 *     posterior(T) ∝ f(T) 1(T > t) Normal(log T; log t + log(h / share) / m, tau²)
 *
 * A share of 0 says nothing here: the power law has no finite pointer for it, and soundness is used already.
 * The rule sharpens the forecast of each segment; the fit itself uses soundness and failure only.
 */
export interface DamageRule {
  /** m, above 0. */ readonly exponent: number;
  /** tau, above 0. */ readonly logSd: number;
  /** Pairs of inspections that it was learnt from; 0 for the defaults. */ readonly pairs: number;
}

/** Two looks at one seal: ages in years, both shares above 0. */
export interface DamagePair {
  readonly earlierAgeYears: number;
  readonly earlierShare: number;
  readonly laterAgeYears: number;
  readonly laterShare: number;
}

/** With fewer pairs than these the defaults are used. */
export const MINIMUM_PAIRS = 30;
/** Assumed, not published: damage accelerates, and one look fixes the failure age to about a factor of 1.5 either way. */
export const DEFAULT_DAMAGE_RULE: DamageRule = { exponent: 3, logSd: 0.4, pairs: 0 };
const EXPONENT_RANGE = [0.5, 10] as const;
const SMALLEST_LOG_SD = 0.1;

/**
 * Exponent and error pooled over pairs of looks at one seal.
 *
 * Each pair has the slope m_i = log(share ratio) / log(age ratio). The exponent is the median slope, since one misread
 * share must not move it. A pair's two pointers to log T differ by log(age ratio) - log(share ratio) / m; each carries half
 * of the variance, so tau is the scaled median absolute difference over the square root of 2.
 * Pairs with growth of age under 5 % are left out: their slope is noise.
 */
export function estimateDamageRule(pairs: Iterable<DamagePair>): DamageRule {
  const logAges: number[] = [];
  const logShares: number[] = [];
  for (const { earlierAgeYears, earlierShare, laterAgeYears, laterShare } of pairs) {
    if (!(earlierAgeYears > 0 && laterAgeYears > 1.05 * earlierAgeYears)) continue;
    if (!(earlierShare > 0 && laterShare > 0)) continue;
    logAges.push(Math.log(laterAgeYears / earlierAgeYears));
    logShares.push(Math.log(laterShare / earlierShare));
  }
  if (logAges.length < MINIMUM_PAIRS) return DEFAULT_DAMAGE_RULE;
  const slopes = logAges.map((logAge, i) => logShares[i] / logAge);
  const exponent = Math.min(Math.max(medianOf(slopes), EXPONENT_RANGE[0]), EXPONENT_RANGE[1]);
  const differences = logAges.map((logAge, i) => Math.abs(logAge - logShares[i] / exponent));
  // 1.4826 makes the median absolute value of a normal variable its standard deviation.
  const logSd = (1.4826 * medianOf(differences)) / Math.SQRT2;
  return { exponent, logSd: Math.max(logSd, SMALLEST_LOG_SD), pairs: logAges.length };
}

/** Successive looks of one seal with damage in both, up to the first failed one. */
export function damagePairs(
  looks: readonly { readonly ageDays: number; readonly share: number }[],
  failureThresholdShare: number,
): DamagePair[] {
  const pairs: DamagePair[] = [];
  for (let i = 1; i < looks.length; i++) {
    const [earlier, later] = [looks[i - 1], looks[i]];
    if (earlier.share >= failureThresholdShare) break;
    if (earlier.share <= 0 || later.share <= 0 || earlier.ageDays <= 0) continue;
    pairs.push({
      earlierAgeYears: earlier.ageDays / 365.25,
      earlierShare: earlier.share,
      laterAgeYears: later.ageDays / 365.25,
      laterShare: later.share,
    });
  }
  return pairs;
}

/** Where a damaged share points: mean of log T in log years. */
export const damagePointer = (
  ageYears: number,
  share: number,
  failureThresholdShare: number,
  { exponent }: DamageRule,
): number => Math.log(ageYears) + Math.log(failureThresholdShare / share) / exponent;

/** Two-point Gauss rule on a cell: its mass is taken as spread evenly between two ages. */
const GAUSS = 0.5 - 0.5 / Math.sqrt(3);

/**
 * Likelihood of the evidence in each cell of an age grid, scaled to a largest value of 1.
 * Writes `weights[from..to]`: cells ending at `ages[from..to)`, the first beginning at `startAge`, then all later ages.
 */
export function damageWeightsInto(
  weights: Float64Array,
  ages: Float64Array,
  from: number,
  to: number,
  startAge: number,
  pointer: number,
  logSd: number,
): void {
  const perSd = 1 / logSd;
  let largest = Number.NEGATIVE_INFINITY;
  let left = startAge;
  for (let j = from; j <= to; j++) {
    const right = j < to ? ages[j] : left * 1.25;
    const a = logDensity(left + GAUSS * (right - left), pointer, perSd);
    const b = logDensity(right - GAUSS * (right - left), pointer, perSd);
    const high = Math.max(a, b);
    weights[j] = high + Math.log(0.5 * (Math.exp(a - high) + Math.exp(b - high)));
    if (weights[j] > largest) largest = weights[j];
    left = right;
  }
  for (let j = from; j <= to; j++) weights[j] = Math.exp(weights[j] - largest);
}

function logDensity(age: number, pointer: number, perSd: number): number {
  const z = (Math.log(age) - pointer) * perSd;
  return -0.5 * z * z;
}

function medianOf(values: readonly number[]): number {
  const sorted = Float64Array.from(values).sort();
  const middle = sorted.length >> 1;
  return sorted.length % 2 ? sorted[middle] : 0.5 * (sorted[middle - 1] + sorted[middle]);
}
