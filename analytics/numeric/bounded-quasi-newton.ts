export interface BoundedSearch {
  readonly lower: Float64Array;
  readonly upper: Float64Array;
  /** Longest move of one coordinate in one step. */ readonly longestStep: number;
  readonly maxIterations: number;
  /** The search ends where a quadratic step promises less than this. */ readonly leastGain: number;
  /** Share of the value that is rounding. */ readonly rounding: number;
}

export interface BoundedResult {
  readonly at: Float64Array;
  readonly value: number;
  readonly iterations: number;
  readonly converged: boolean;
}

export interface SmoothFunction {
  /** NaN where the function has no value. */ readonly value: (at: Float64Array) => number;
  /** Writes the gradient at the point whose value was asked for last. */
  readonly slope: (at: Float64Array, gradient: Float64Array) => void;
}

/**
 * Maximises a smooth function of a few variables within a box: BFGS on the variables that are not held at a bound.
 * Source: Nocedal and Wright, Numerical Optimization (2006), chapters 6 and 16.
 */
export function maximiseInBox(target: SmoothFunction, start: Float64Array, options: BoundedSearch): BoundedResult {
  const { lower, upper } = options;
  const n = start.length;
  const clamp = (x: number, j: number): number => Math.max(lower[j], Math.min(upper[j], x));
  let at: Float64Array = start.map(clamp);
  let gradient: Float64Array = new Float64Array(n);
  let value = target.value(at);
  if (!Number.isFinite(value)) return { at, value, iterations: 0, converged: false };
  target.slope(at, gradient);
  let inverse = identity(n);
  let fresh = true;
  for (let iteration = 1; iteration <= options.maxIterations; iteration++) {
    const finish = (converged: boolean): BoundedResult => ({ at, value, iterations: iteration - 1, converged });
    const free = [...at.keys()].filter(
      (j) => !((at[j] <= lower[j] && gradient[j] <= 0) || (at[j] >= upper[j] && gradient[j] >= 0)),
    );
    const step = direction(inverse, gradient, free, n);
    const promised = step.reduce((sum, d, j) => sum + d * gradient[j], 0);
    if (!Number.isFinite(promised)) return finish(false);
    if (promised < options.leastGain) return finish(true);

    const longest = step.reduce((most, d) => Math.max(most, Math.abs(d)), 0);
    const slack = options.rounding * (1 + Math.abs(value));
    let next: { readonly at: Float64Array; readonly value: number } | null = null;
    let length = Math.min(1, options.longestStep / longest);
    for (let k = 0; k < 25 && !next; k++, length *= 0.4) {
      const trial = at.map((x, j) => clamp(x + length * step[j], j));
      const reached = target.value(trial);
      const gain = trial.reduce((sum, x, j) => sum + (x - at[j]) * gradient[j], 0);
      if (reached >= value + 1e-4 * gain - slack) next = { at: trial, value: reached };
      // No shorter step can tell up from down any more.
      else if (gain < slack) break;
    }
    if (!next) {
      if (fresh) return finish(promised < 100 * options.leastGain);
      inverse = identity(n);
      fresh = true;
      target.value(at);
      continue;
    }
    const nextGradient = new Float64Array(n);
    target.slope(next.at, nextGradient);
    inverse = updated(inverse, at, gradient, { at: next.at, gradient: nextGradient }, free);
    fresh = false;
    gradient = nextGradient;
    ({ at, value } = next);
  }
  return { at, value, iterations: options.maxIterations, converged: false };
}

const identity = (n: number): Float64Array =>
  Float64Array.from({ length: n * n }, (_, k) => (k % (n + 1) === 0 ? 1 : 0));

function direction(inverse: Float64Array, gradient: Float64Array, free: readonly number[], n: number): Float64Array {
  const step = new Float64Array(n);
  for (const j of free) for (const k of free) step[j] += inverse[j * n + k] * gradient[k];
  const slope = free.reduce((sum, j) => sum + step[j] * gradient[j], 0);
  if (slope > 0) return step;
  step.fill(0);
  for (const j of free) step[j] = gradient[j];
  return step;
}

function updated(
  inverse: Float64Array,
  at: Float64Array,
  gradient: Float64Array,
  next: { readonly at: Float64Array; readonly gradient: Float64Array },
  free: readonly number[],
): Float64Array {
  const n = at.length;
  const move = new Float64Array(n);
  const fall = new Float64Array(n);
  for (const j of free) {
    move[j] = next.at[j] - at[j];
    fall[j] = gradient[j] - next.gradient[j];
  }
  const along = move.reduce((sum, m, j) => sum + m * fall[j], 0);
  const length = Math.hypot(...move) * Math.hypot(...fall);
  if (!(along > 1e-10 * length)) return inverse;
  const swept = new Float64Array(n);
  for (let j = 0; j < n; j++) for (let k = 0; k < n; k++) swept[j] += inverse[j * n + k] * fall[k];
  const spread = 1 + swept.reduce((sum, s, j) => sum + s * fall[j], 0) / along;
  return inverse.map((h, m) => {
    const j = Math.floor(m / n);
    const k = m % n;
    return h + (spread * move[j] * move[k] - swept[j] * move[k] - move[j] * swept[k]) / along;
  });
}
