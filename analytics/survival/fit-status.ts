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
const LARGEST_EFFECT = 8;
const LARGEST_LOG_SCALE_ERROR = 3;
const LEAST_TAU = 0.2;
const LARGEST_TAU = 20;
const FEW_FAILURES = 10;
const LARGEST_SCORE = 1e-4;

export const NO_EVENTS_WARNING =
  'No failure is on record, so life has no estimate; use a prior on life, or wait for the first failures.';

/** Names the state of a fit and says in one sentence what to do about it. */
export function judgeFit(found: Findings): Verdict {
  const refuse = (status: FitStatus, warning: string): Verdict => ({ status, converged: false, warnings: [warning] });
  if (!found.finite)
    return refuse(
      'nonfinite',
      'The likelihood could not be computed; check the ages and covariates for extreme values.',
    );
  const runaway = runawayNames(found);
  if (runaway.length > 0)
    return found.failures === 0
      ? refuse('no-events', NO_EVENTS_WARNING)
      : refuse('separated', separatedWarning(runaway));
  const boundary = found.shapeIsFree ? shapeVerdict(found) : null;
  if (boundary) return boundary;
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

function runawayNames({ names, coefficients, standardErrors }: Findings): string[] {
  return names.filter(
    (_, k) => Math.abs(coefficients[k]) > LARGEST_EFFECT || (standardErrors?.[k] ?? 0) > LARGEST_EFFECT,
  );
}

function separatedWarning(names: readonly string[]): string {
  const only = names.length === 1 && names[0] === '(Intercept)';
  return only
    ? 'The ages bound life on one side only; add seals known sound and seals known failed, or use a prior.'
    : `The data let the effect of ${names.join(', ')} grow without end; merge the level with another, leave it out or use a prior.`;
}

const formatWeight = (weight: number): string => String(Number(weight.toPrecision(4)));
