import type { AftData, AftPrior } from '../../analytics/survival/aft.ts';
import { fitAft } from '../../analytics/survival/fit-aft.ts';
import { weakPrior } from '../../analytics/survival/weak-prior.ts';
import { fitReport } from '../forecasting/fit-report.ts';
import { TWO_THREADS } from '../jobs/sum-threads.ts';
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
  const fit = fitAft(data, { family, prior, threads: TWO_THREADS });
  return fitReport(fit, (performance.now() - from) / 1000);
}
