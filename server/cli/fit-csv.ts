import type { AftData, AftFit, AftPrior } from '../../analytics/survival/aft.ts';
import { fitAft } from '../../analytics/survival/fit-aft.ts';
import { weakPrior } from '../../analytics/survival/weak-prior.ts';
import type { FitReport } from '../schemas/model.ts';
import type { Family } from '../schemas/words.ts';
import { type FitColumns, fitData } from './fit-data.ts';
import { readFitTable } from './fit-table.ts';

export interface FitCsvOptions extends FitColumns {
  readonly file: string;
  readonly family: Family;
  /** `none`: plain maximum likelihood. `default`: weak priors on slopes and shape, none on the intercept. */
  readonly prior: 'none' | 'default';
}

/**
 * Fits a life distribution to any CSV with a header.
 * @throws InputRefused naming file, row, field, value and what is allowed
 */
export async function fitCsv(options: FitCsvOptions): Promise<FitReport> {
  const data = fitData(await readFitTable(options.file), options);
  const prior = options.prior === 'default' ? weakPrior(data) : null;
  return timedFit(data, options.family, prior);
}

function timedFit(data: AftData, family: Family, prior: AftPrior | null): FitReport {
  const from = performance.now();
  const fit = fitAft(data, { family, prior });
  return fitReport(fit, (performance.now() - from) / 1000);
}

/** A fit as plain numbers under their names. A dropped column has no standard error. */
export function fitReport(fit: AftFit, fitSeconds: number): FitReport {
  const { covariance, names } = fit;
  const size = fit.family === 'exponential' ? names.length : names.length + 1;
  const dropped = new Set(fit.droppedNames);
  const errorAt = (k: number, name: string): number | null =>
    covariance && !dropped.has(name) ? Math.sqrt(covariance[k * size + k]) : null;
  const parameters = fit.family === 'exponential' ? names : [...names, 'logScale'];
  return {
    family: fit.family,
    coefficients: Object.fromEntries(names.map((name, j) => [name, fit.coefficients[j]])),
    scale: fit.scale,
    logLikelihood: fit.logLikelihood,
    standardErrors: Object.fromEntries(parameters.map((name, k) => [name, errorAt(k, name)])),
    covariance:
      covariance && Array.from({ length: size }, (_, j) => [...covariance.subarray(j * size, (j + 1) * size)]),
    observations: Math.round(fit.observations),
    failures: Math.round(fit.failures),
    iterations: fit.iterations,
    converged: fit.converged,
    status: fit.status,
    warnings: [...fit.warnings],
    fitSeconds,
  };
}
