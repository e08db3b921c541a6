import type { Range } from '../backtest/calibration.ts';
import type { AftData, AftFit, AftPrior } from '../survival/aft.ts';
import { fitAft } from '../survival/fit-aft.ts';

export interface ShapePoint {
  /** 1 / sigma: the Weibull shape. */ readonly shape: number;
  /** Each less its own largest value, so 0 at its top; null without a prior. */ readonly logLikelihood: number;
  readonly logPrior: number | null;
  readonly logPosterior: number;
}

export interface ShapeProfile {
  readonly points: readonly ShapePoint[];
  /** Shape at the top of the profile likelihood. */ readonly best: number;
  /** 80 % likelihood-ratio interval; an end is null where the profile does not fall far enough within the points. */
  readonly lower: number | null;
  readonly upper: number | null;
  /** Prior median with its 80 % interval; null without a prior. */
  readonly prior: (Range & { readonly median: number }) | null;
  /** Share of what is known of log shape that comes from the records: 0 all prior, 1 all data. */
  readonly dataShare: number;
}

/** Holds log sigma where it is put: the fit then differs from one with sigma fixed by less than the stopping rule. */
const FIXING_SD = 1e-4;
const POINTS_NEAR = 17;
const POINTS_WIDE = 9;
const Z80 = 1.2815515655446004;
/** Half of the 80 % point of chi-square with one degree of freedom. */
const DROP_80 = Z80 ** 2 / 2;

/**
 * Profile likelihood of the shape: the largest log-likelihood that any coefficients reach at each of a row of shapes, with
 * the prior of log sigma beside it. Coefficients keep their own priors, or classes without failures would have no maximum;
 * each point is a fit with a prior of SD 0.0001 on log sigma.
 * @returns null for the exponential, whose shape is 1, and where the fit has no maximum
 */
export function profileShape(data: AftData, fit: AftFit, prior: AftPrior | null): ShapeProfile | null {
  if (fit.family === 'exponential' || !fit.converged) return null;
  const shapes = gridOfShapes(fit, prior);
  const likelihoods = shapes.map((shape) => profileAt(data, fit, prior, shape));
  const used = shapes.flatMap((shape, i) => {
    const logLikelihood = likelihoods[i];
    return logLikelihood === null ? [] : [{ shape, logLikelihood, logPrior: prior && logPriorAt(prior, shape) }];
  });
  if (used.length < 3) return null;
  const top = topOf(used.map(({ shape, logLikelihood }) => ({ x: Math.log(shape), y: logLikelihood })));
  const posterior = used.map(({ logLikelihood, logPrior }) => logLikelihood + (logPrior ?? 0));
  const highest = Math.max(...posterior);
  const points = used.map(({ shape, logLikelihood, logPrior }, i) => ({
    shape,
    logLikelihood: Math.min(0, logLikelihood - top.y),
    logPrior,
    logPosterior: posterior[i] - highest,
  }));
  const priorInformation = prior && Number.isFinite(prior.logScaleSd) ? 1 / prior.logScaleSd ** 2 : 0;
  return {
    points,
    best: Math.exp(top.x),
    lower: crossing(points, top.x, -1),
    upper: crossing(points, top.x, 1),
    prior: prior && Number.isFinite(prior.logScaleSd) ? priorRange(prior) : null,
    dataShare: top.information / (top.information + priorInformation),
  };
}

function gridOfShapes(fit: AftFit, prior: AftPrior | null): number[] {
  const centre = -Math.log(fit.scale);
  const variance = fit.covariance?.at(-1) ?? 0.25;
  const near = 3.5 * Math.sqrt(variance);
  const even = (from: number, to: number, count: number): number[] =>
    Array.from({ length: count }, (_, i) => from + ((to - from) * i) / (count - 1));
  const wide =
    prior && Number.isFinite(prior.logScaleSd)
      ? even(-prior.logScaleMean - 2 * prior.logScaleSd, -prior.logScaleMean + 2 * prior.logScaleSd, POINTS_WIDE)
      : [];
  const logs = [...even(centre - near, centre + near, POINTS_NEAR), ...wide].sort((a, b) => a - b);
  return logs.filter((log, i) => i === 0 || log - logs[i - 1] > 1e-6).map(Math.exp);
}

/** Largest log-likelihood, with the coefficients' log prior, at one shape; null where there is no maximum. */
function profileAt(data: AftData, fit: AftFit, prior: AftPrior | null, shape: number): number | null {
  const names = data.names.length + Number(data.intercept);
  const means = prior?.means ?? Array.from({ length: names }, () => 0);
  const sds = prior?.sds ?? means.map(() => Infinity);
  const held = { means, sds, logScaleMean: -Math.log(shape), logScaleSd: FIXING_SD };
  const found = fitAft(data, { family: fit.family, prior: held });
  if (!found.converged) return null;
  const penalty = means.reduce((sum, mean, j) => sum + ((found.coefficients[j] - mean) / sds[j]) ** 2, 0);
  return found.logLikelihood - penalty / 2;
}

const logPriorAt = ({ logScaleMean, logScaleSd }: AftPrior, shape: number): number =>
  -0.5 * ((-Math.log(shape) - logScaleMean) / logScaleSd) ** 2;

const priorRange = ({ logScaleMean, logScaleSd }: AftPrior) => ({
  median: Math.exp(-logScaleMean),
  lower: Math.exp(-logScaleMean - Z80 * logScaleSd),
  upper: Math.exp(-logScaleMean + Z80 * logScaleSd),
});

interface Top {
  readonly x: number;
  readonly y: number;
  /** Minus the second derivative. */ readonly information: number;
}

/** Top of the parabola through the highest point and its neighbours; the point itself at an end of the row. */
function topOf(points: readonly { readonly x: number; readonly y: number }[]): Top {
  let at = 0;
  points.forEach(({ y }, i) => {
    if (y > points[at].y) at = i;
  });
  const middle = Math.min(points.length - 2, Math.max(1, at));
  const [a, b, c] = [points[middle - 1], points[middle], points[middle + 1]];
  const left = (b.y - a.y) / (b.x - a.x);
  const right = (c.y - b.y) / (c.x - b.x);
  const curvature = (2 * (right - left)) / (c.x - a.x);
  if (at !== middle || !(curvature < 0)) return { ...points[at], information: Math.max(0, -curvature) };
  const slope = left + (curvature * (b.x - a.x)) / 2;
  const step = -slope / curvature;
  return { x: b.x + step, y: b.y + slope * step + (curvature * step * step) / 2, information: -curvature };
}

/** Shape on one side of the top at which the profile has fallen by the 80 % drop. */
function crossing(points: readonly ShapePoint[], topLog: number, side: -1 | 1): number | null {
  const beyond = points
    .filter(({ shape }) => side * (Math.log(shape) - topLog) > 0)
    .sort((a, b) => side * (a.shape - b.shape));
  let [x, y] = [topLog, 0];
  for (const { shape, logLikelihood } of beyond) {
    if (logLikelihood <= -DROP_80) {
      // The profile is nearly a parabola, so its root is nearly straight.
      const [from, to, target] = [Math.sqrt(-y), Math.sqrt(-logLikelihood), Math.sqrt(DROP_80)];
      return Math.exp(x + ((Math.log(shape) - x) * (target - from)) / (to - from));
    }
    [x, y] = [Math.log(shape), logLikelihood];
  }
  return null;
}
