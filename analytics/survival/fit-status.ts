import type { FitStatus } from './aft.ts';

/** What the search found, in standardised coefficients. */
export interface Findings {
  readonly hasPrior: boolean;
  /** No prior holds the shape. */ readonly shapeIsFree: boolean;
  readonly failures: number;
  readonly finite: boolean;
  readonly reachedMaximum: boolean;
  /** Largest |score| in standard errors. */ readonly score: number;
  readonly names: readonly string[];
  /** Per 0/1 switch or standard deviation, in log time. */ readonly coefficients: Float64Array;
  /** Of coefficients, then of log sigma where it is estimated; null where the information is not positive definite. */
  readonly standardErrors: Float64Array | null;
  readonly tau: number;
}

export interface Verdict {
  readonly status: FitStatus;
  readonly converged: boolean;
  readonly warnings: readonly string[];
}

/** Life ratios beyond e^8, 3000 times, are no effect: the likelihood keeps rising as they grow. */
export const LARGEST_EFFECT = 8;
const LARGEST_LOG_SCALE_ERROR = 3;
const LEAST_TAU = 0.2;
const LARGEST_TAU = 20;
const FEW_FAILURES = 10;
const LARGEST_SCORE = 1e-4;

export const NO_EVENTS_WARNING =
  'No failure is on record, so life has no estimate; use a prior on life, or wait for the first failures.';

const refuse = (status: FitStatus, warning: string): Verdict => ({ status, converged: false, warnings: [warning] });

/** Names the state of a fit and says in one sentence what to do about it. */
export function judgeFit(found: Findings): Verdict {
  if (!found.finite)
    return refuse(
      'nonfinite',
      'The likelihood could not be computed; check the ages and covariates for extreme values.',
    );
  const runaway = runawayVerdict(found, (k) => Math.abs(found.coefficients[k]));
  if (runaway) return runaway;
  const boundary = found.shapeIsFree ? shapeVerdict(found) : null;
  if (boundary) return boundary;
  const vague = runawayVerdict(found, (k) => found.standardErrors?.[k] ?? 0);
  if (vague) return vague;
  if (!found.reachedMaximum)
    return refuse(
      'max-iter',
      'The search stopped before its maximum; use a prior, fewer covariates or more iterations.',
    );
  if (found.standardErrors === null)
    return refuse(
      'nonconcave',
      'The data do not pin down every coefficient together; leave out a covariate or use a prior.',
    );
  if (found.hasPrior && found.failures === 0)
    return {
      status: 'no-events',
      converged: true,
      warnings: ['No failure is on record, so life rests on the prior; inspect older seals to learn more.'],
    };
  return soundVerdict(found);
}

function soundVerdict({ failures, score, hasPrior }: Findings): Verdict {
  const warnings: string[] = [];
  if (failures < FEW_FAILURES)
    warnings.push(
      `Only ${formatWeight(failures)} failures are on record; ${
        hasPrior ? 'much of the result is prior, so show its interval' : 'use a prior, and show the interval'
      }.`,
    );
  if (score > LARGEST_SCORE) warnings.push('The maximum was met only roughly; use fewer covariates or a prior.');
  return { status: warnings.length > 0 ? 'weak' : 'ok', converged: true, warnings };
}

function shapeVerdict({ tau, standardErrors, coefficients, reachedMaximum }: Findings): Verdict | null {
  const logScaleError = standardErrors?.[coefficients.length] ?? 0;
  const vanished = logScaleError > LARGEST_LOG_SCALE_ERROR;
  if (tau >= LEAST_TAU && tau <= LARGEST_TAU && !vanished) return null;
  return {
    status: 'shape-at-boundary',
    converged: reachedMaximum && standardErrors !== null && !vanished,
    warnings: [
      `The shape ${Number(tau.toPrecision(3))} is beyond what lives show (${LEAST_TAU} to ${LARGEST_TAU}); use a prior, or check the ages for copied dates.`,
    ],
  };
}

/** The likelihood still rises, or is as good as level, out to life ratios that are no effects. */
function runawayVerdict({ names, failures }: Findings, sizeOf: (k: number) => number): Verdict | null {
  const runaway = names.filter((_, k) => sizeOf(k) > LARGEST_EFFECT);
  if (runaway.length === 0) return null;
  return failures === 0 ? refuse('no-events', NO_EVENTS_WARNING) : refuse('separated', separatedWarning(runaway));
}

function separatedWarning(names: readonly string[]): string {
  const only = names.length === 1 && names[0] === '(Intercept)';
  return only
    ? 'The ages bound life on one side only; add seals known sound and seals known failed, or use a prior.'
    : `The data let the effect of ${names.join(', ')} grow without end; merge the level with another, leave it out or use a prior.`;
}

const formatWeight = (weight: number): string => String(Number(weight.toPrecision(4)));
