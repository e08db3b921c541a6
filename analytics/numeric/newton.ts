import { choleskyInPlace, choleskySolveInPlace } from './cholesky.ts';

/** A smooth function to maximise; writes gradient (n) and Hessian (n x n, row-major) and returns the value. */
export type Objective = (at: Float64Array, gradient: Float64Array, hessian: Float64Array) => number;

export interface NewtonOptions {
  readonly maxIterations: number;
  /** Largest first step along `step` from `at`, at most 1 (to stay where the function is defined). */
  readonly longestStep?: (at: Float64Array, step: Float64Array) => number;
  /** Ends, unpolished, where a full step would gain less than half of this; left out: as near as rounding lets it come. */
  readonly nearDecrement?: number;
  /**
   * Ends with a full step taken and not looked at where it leaves less than half of this to gain: for functions that take long.
   * Newton's steps square the distance to the top, so the decrements d and e of two points a full step apart tell what the
   * next one will be, e³ / d².
   */
  readonly closeDecrement?: number;
}

export interface NewtonResult {
  readonly at: Float64Array;
  readonly value: number;
  readonly gradient: Float64Array;
  readonly hessian: Float64Array;
  readonly iterations: number;
  /** `stuck`: no step along the damped Newton direction goes up any more. */
  readonly outcome: 'converged' | 'max-iter' | 'stuck' | 'nonfinite';
  /** Value and gradient are as the step before foretells them, the Hessian is that of before. */
  readonly lastStepUnseen: boolean;
}

interface Point {
  at: Float64Array;
  gradient: Float64Array;
  hessian: Float64Array;
  value: number;
}

const newPoint = (n: number): Point => ({
  at: new Float64Array(n),
  gradient: new Float64Array(n),
  hessian: new Float64Array(n * n),
  value: NaN,
});

const isUsable = ({ value, gradient, hessian }: Point, n: number): boolean => {
  if (!Number.isFinite(value) || !gradient.every(Number.isFinite)) return false;
  for (let j = 0; j < n; j++) if (!Number.isFinite(hessian[j * n + j])) return false;
  return true;
};

const MAX_BACKTRACKS = 40;
/** A last step shorter than this, for a parameter's size, leaves value, gradient and Hessian as they are to nine digits. */
const LEAST_STEP = 1e-9;
/** A step that should gain less, for the size of the value, and gains nothing, has met the rounding of the function. */
const ROUNDING_GAIN = 1e-10;

/**
 * Damped Newton ascent with backtracking: the damping grows while the negative Hessian is not positive definite.
 * Stops on the Newton decrement, never on the change of the value alone, then takes one undamped polishing step,
 * and looks at the function again only if that step can be seen. It stops short of that where a small gain is lost in the
 * rounding of the function, which no shorter step would find either.
 * Source: Nocedal and Wright, Numerical Optimization (2006), chapters 3 and 6.
 */
export function maximise(objective: Objective, start: Float64Array, options: NewtonOptions): NewtonResult {
  const n = start.length;
  let here = newPoint(n);
  let trial = newPoint(n);
  here.at.set(start);
  here.value = objective(here.at, here.gradient, here.hessian);
  const finish = (outcome: NewtonResult['outcome'], iterations: number): NewtonResult => ({
    ...here,
    iterations,
    outcome,
    lastStepUnseen: false,
  });
  if (!isUsable(here, n)) return finish('nonfinite', 0);

  const factor = new Float64Array(n * n);
  const step = new Float64Array(n);
  const evaluateAt = (length: number): void => {
    for (let j = 0; j < n; j++) trial.at[j] = here.at[j] + length * step[j];
    trial.value = objective(trial.at, trial.gradient, trial.hessian);
  };
  const acceptTrial = (): void => {
    [here, trial] = [trial, here];
  };

  let damping = 0;
  let stalls = 0;
  /** Decrement a full step before; 0: there was none. */ let before = 0;
  for (let iteration = 1; iteration <= options.maxIterations; iteration++) {
    damping = dampedStep(here, damping, factor, step);
    if (damping === Infinity) return finish('nonfinite', iteration);
    const decrement = dot(step, here.gradient);
    if (options.nearDecrement !== undefined && decrement < options.nearDecrement && damping < 1e-6)
      return finish('converged', iteration);
    const next = decrement * Math.min(1, (decrement / before) ** 2);
    if (next < (options.closeDecrement ?? 0) && damping === 0) {
      stepUnseen(here, step);
      return { ...finish('converged', iteration), lastStepUnseen: true };
    }
    if (decrement < 1e-12 * (1 + Math.abs(here.value)) && damping < 1e-6) {
      if (step.every((change, j) => Math.abs(change) < LEAST_STEP * (1 + Math.abs(here.at[j])))) {
        for (let j = 0; j < n; j++) here.at[j] += step[j];
        return finish('converged', iteration);
      }
      evaluateAt(1);
      // Near the top the value is flat to rounding, so the polishing step only must not lose more than that.
      if (isUsable(trial, n) && trial.value >= here.value - 1e-12 * (1 + Math.abs(here.value))) acceptTrial();
      return finish('converged', iteration);
    }
    let length = options.longestStep?.(here.at, step) ?? 1;
    let climbed = false;
    let full = false;
    for (let backtrack = 0; backtrack < MAX_BACKTRACKS && !climbed; backtrack++, length *= 0.4) {
      evaluateAt(length);
      climbed = isUsable(trial, n) && trial.value >= here.value + 1e-4 * length * decrement;
      full = climbed && length === 1 && damping === 0;
      if (!climbed && damping < 1e-6 && decrement < ROUNDING_GAIN * (1 + Math.abs(here.value)))
        return finish('converged', iteration);
    }
    before = full ? decrement : 0;
    if (climbed) {
      acceptTrial();
      damping = damping / 10 < 1e-12 ? 0 : damping / 10;
      stalls = 0;
    } else {
      damping = Math.max(10 * damping, 1e-3);
      if (++stalls > 12) return finish('stuck', iteration);
    }
  }
  return finish('max-iter', options.maxIterations);
}

/** Moves by a step, with value and gradient as the quadratic there has them. */
function stepUnseen(here: Point, step: Float64Array): void {
  const n = step.length;
  here.value += 0.5 * dot(step, here.gradient);
  for (let j = 0; j < n; j++) {
    here.at[j] += step[j];
    here.gradient[j] += dot(here.hessian.subarray(j * n, (j + 1) * n), step);
  }
}

/** Solves for the step, raising the damping until the matrix is positive definite; Infinity where it never is. */
function dampedStep(here: Point, startDamping: number, factor: Float64Array, step: Float64Array): number {
  const n = step.length;
  let damping = startDamping;
  for (let attempt = 0; attempt < 60; attempt++) {
    for (let k = 0; k < n * n; k++) factor[k] = -here.hessian[k];
    for (let j = 0; j < n; j++) factor[j * n + j] += damping * (Math.abs(here.hessian[j * n + j]) + 1e-12);
    if (choleskyInPlace(factor, n)) {
      step.set(here.gradient);
      choleskySolveInPlace(factor, n, step);
      if (step.every(Number.isFinite)) return damping;
    }
    damping = Math.max(10 * damping, 1e-3);
  }
  return Infinity;
}

function dot(a: Float64Array, b: Float64Array): number {
  let sum = 0;
  for (let j = 0; j < a.length; j++) sum += a[j] * b[j];
  return sum;
}
