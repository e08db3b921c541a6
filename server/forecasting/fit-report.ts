import type { AftFit } from '../../analytics/survival/aft.ts';
import type { FitReport } from '../schemas/model.ts';

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
