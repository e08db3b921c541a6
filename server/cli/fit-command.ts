import type { FitReport } from '../schemas/model.ts';
import type { Family } from '../schemas/words.ts';
import { EXIT, type ExitCode, printJson } from './command-context.ts';
import { fitCsv } from './fit-csv.ts';

export interface FitOptions {
  readonly lower: string;
  readonly upper: string;
  readonly entry?: string;
  readonly weight?: string;
  readonly covariates?: string;
  readonly family: Family;
  readonly prior: 'none' | 'default';
  readonly json?: boolean;
}

/** Fits any CSV, so that an agency's statistician can check the numbers with data of their own. */
export async function fitCommand(file: string, options: FitOptions): Promise<ExitCode> {
  const names = (options.covariates ?? '').split(',').map((name) => name.trim());
  const report = await fitCsv({ ...options, file, covariates: names.filter((name) => name !== '') });
  if (options.json) printJson(report);
  else printFit(report);
  return EXIT.done;
}

function printFit(report: FitReport): void {
  console.log(
    `${report.family}: ${report.observations} observations, ${report.failures} failures; status ${report.status}`,
  );
  for (const warning of report.warnings) console.log(`  ! ${warning}`);
  for (const [name, value] of Object.entries(report.coefficients)) {
    console.log(`  ${name.padEnd(24)} ${value.toPrecision(8).padStart(14)}   SE ${errorText(report, name)}`);
  }
  console.log(
    `  ${'scale'.padEnd(24)} ${report.scale.toPrecision(8).padStart(14)}   SE of log scale ${errorText(report, 'logScale')}`,
  );
  console.log(`  log-likelihood ${report.logLikelihood.toPrecision(12)} after ${report.iterations} iterations`);
}

const errorText = (report: FitReport, name: string): string =>
  report.standardErrors[name]?.toPrecision(6) ?? 'not known';
