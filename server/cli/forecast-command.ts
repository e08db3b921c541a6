import type { ConfigWishes } from '../config.ts';
import { runForecast } from '../forecasting/run-forecast.ts';
import type { Budget } from '../schemas/budget.ts';
import type { ModelReport } from '../schemas/model.ts';
import type { Family } from '../schemas/words.ts';
import { EXIT, type ExitCode, printJson, withStore } from './command-context.ts';

/** Fits the model on what is stored, forecasts every segment, and prints what was found. */
export async function forecastCommand(options: ConfigWishes & { family?: Family; json?: boolean }): Promise<ExitCode> {
  return withStore(options, async (store, context) => {
    if ((await store.countRecords()).segments === 0) return noRecords();
    if (options.family) await store.writeSettings({ ...(await store.readSettings()), family: options.family });
    await runForecast(context);
    const report = (await store.readModelReport()) as ModelReport;
    if (options.json) printJson(report);
    else printReport(report);
    return EXIT.done;
  });
}

/** Prints what falls due each year, from the newest forecast. */
export async function budgetCommand(options: ConfigWishes & { json?: boolean }): Promise<ExitCode> {
  return withStore(options, async (store) => {
    const budget = (await store.readBudget()) as Budget | null;
    if (!budget) return noRecords();
    if (options.json) printJson(budget);
    else printBudget(budget);
    return EXIT.done;
  });
}

function noRecords(): ExitCode {
  console.error('Nothing is forecast yet. First load records (kerfcast load FILE...), then run kerfcast forecast.');
  return EXIT.refused;
}

function printReport(report: ModelReport): void {
  console.log(`Model version ${report.version}: ${report.summary}`);
  console.log(
    `Fit: ${report.fit.family}, status ${report.fit.status}, ${report.fit.observations} seals, ${report.fit.failures} failures`,
  );
  if (report.condition) console.log(report.condition.sentence);
  for (const warning of report.fit.warnings) console.log(`  ! ${warning}`);
  for (const { sealantClass, medianLifeYears: life, observations } of report.classes) {
    const years = [life.median, life.lower, life.upper].map((value) => value.toFixed(1));
    console.log(
      `  ${sealantClass}: half last ${years[0]} years (80 % interval ${years[1]} to ${years[2]}; ${observations} seals)`,
    );
  }
}

function printBudget(budget: Budget): void {
  console.log(`What falls due, ${budget.currency}, model version ${budget.modelVersion} (median, 80 % interval)`);
  for (const { year, lengthM, cost } of budget.totals) {
    const km = [lengthM.median, lengthM.lower, lengthM.upper].map((value) => (value / 1000).toFixed(1));
    const money = [cost.median, cost.lower, cost.upper].map((value) => Math.round(value).toLocaleString('en'));
    console.log(`  ${year}  ${km[0]} km (${km[1]} to ${km[2]})  ${money[0]} (${money[1]} to ${money[2]})`);
  }
}
