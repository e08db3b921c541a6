import { randomUUID } from 'node:crypto';
import { createWriteStream } from 'node:fs';
import { writeFile } from 'node:fs/promises';
import { Readable } from 'node:stream';
import { pipeline } from 'node:stream/promises';
import { ConfigError, type ConfigWishes } from '../config.ts';
import { programTableCsv, programWorkCsv } from '../exports/program-csv.ts';
import { programFile } from '../exports/program-file.ts';
import { programGeoJson } from '../exports/program-geojson.ts';
import { answeredWorks } from '../exports/program-tables.ts';
import type { Units } from '../exports/units.ts';
import { checkScenario } from '../programs/check-scenario.ts';
import { readPlanningBasis } from '../programs/planning-basis.ts';
import { gapWords, moneyWords, percentWords } from '../programs/program-words.ts';
import { solveScenario } from '../programs/solve-scenario.ts';
import { readProgramReport } from '../programs/stored-program.ts';
import type { Program } from '../schemas/program.ts';
import type { Store } from '../store/store.ts';
import { EXIT, type ExitCode, todayIso, withStore } from './command-context.ts';
import { InputRefused } from './input-refused.ts';
import { readScenarioFile, type ScenarioFile } from './scenario-file.ts';

export interface ProgramOptions extends ConfigWishes {
  readonly scenario: string;
  readonly json?: boolean;
  readonly out?: readonly string[];
  readonly units: Units;
  /** False: nothing of it stays among the scenarios. */ readonly keep: boolean;
}

const ENDINGS = ['.xlsx', '.pdf', '.geojson', '-table.csv', '.csv'] as const;
type Ending = (typeof ENDINGS)[number];

/** Solves the scenario of a file and prints or writes its program. Exit code 1 where no program keeps every limit. */
export async function programCommand(options: ProgramOptions): Promise<ExitCode> {
  const files = (options.out ?? []).map((file) => ({ file, ending: endingOf(file) }));
  return withStore(options, async (store, context) => {
    if ((await store.modelVersion()) === null) {
      console.error('Nothing is forecast yet. First load records (kerfcast load FILE...), then run kerfcast forecast.');
      return EXIT.refused;
    }
    const scenario = await readScenarioFile(options.scenario, store);
    await refuseFaults(options.scenario, scenario, store);
    const id = await keptScenario(store, scenario, options.keep);
    try {
      await solveScenario(id, context);
      const program = await readProgramReport(store, id);
      for (const { file, ending } of files) await writeProgram(store, program, { file, ending, units: options.units });
      if (options.json) await printProgram(store, program);
      else printSummary(program);
      return program.status === 'infeasible' ? EXIT.refused : EXIT.done;
    } finally {
      if (!options.keep) await store.removeScenario(id, null);
    }
  });
}

function endingOf(file: string): Ending {
  const ending = ENDINGS.find((each) => file.toLowerCase().endsWith(each));
  if (ending) return ending;
  throw new ConfigError(`out is ${file}; expected a file that ends in ${ENDINGS.join(', ')}.`);
}

async function refuseFaults(file: string, { inputs }: ScenarioFile, store: Store): Promise<void> {
  const { firstYear } = await readPlanningBasis(store, todayIso());
  const [first, ...more] = await checkScenario(store, inputs, firstYear);
  if (!first) return;
  const hint = more.length > 0 ? `And ${more.length} more.` : undefined;
  throw new InputRefused({ file, row: 0, ...first, field: `inputs.${first.field}`, hint });
}

/** The scenario of that name, with the inputs of the file, or a new one. @returns its id */
async function keptScenario(store: Store, { name, note, inputs }: ScenarioFile, keep: boolean): Promise<string> {
  const now = new Date().toISOString();
  const earlier = keep ? (await store.listScenarios()).find((each) => each.name === name) : undefined;
  if (!earlier) return (await store.addScenario({ id: randomUUID(), name, note, inputs, createdAt: now })).id;
  const changed = await store.changeScenario(earlier.id, null, { note, inputs }, now);
  if (changed.kind === 'done' && !changed.scenario.locked) return earlier.id;
  throw new Error(
    `The scenario ${name} is locked and stays as it is. Give the file another name for it, or use --no-keep.`,
  );
}

async function writeProgram(
  store: Store,
  program: Program,
  { file, ending, units }: { file: string; ending: Ending; units: Units },
): Promise<void> {
  const write = (pieces: Iterable<string> | AsyncIterable<string>) =>
    pipeline(Readable.from(pieces), createWriteStream(file));
  switch (ending) {
    case '.xlsx':
      return writeFile(file, await programFile(store, { program, format: 'xlsx', units }));
    case '.pdf':
      return writeFile(file, await programFile(store, { program, format: 'pdf', units }));
    case '.geojson':
      return write(programGeoJson(store, program));
    case '-table.csv':
      return write([programTableCsv(program, units)]);
    case '.csv':
      return write(programWorkCsv(store, program, units));
    default:
      return ending satisfies never;
  }
}

/** The report as one object of JSON, its works last and written as they are read: there may be a million of them. */
async function printProgram(store: Store, program: Program): Promise<void> {
  const print = (text: string) => process.stdout.write(text);
  print(`${JSON.stringify(program, null, 2).slice(0, -2)},\n  "works": [`);
  let separator = '\n    ';
  for await (const batch of store.readWorks(program.scenarioId, 'year')) {
    print(
      separator +
        answeredWorks(program, batch)
          .map((work) => JSON.stringify(work))
          .join(',\n    '),
    );
    separator = ',\n    ';
  }
  print('\n  ]\n}\n');
}

function printSummary(program: Program): void {
  const { sentence, conflicts, objective, bound, gapShare, currency, priceYear, years, baselines, totals } = program;
  console.log(sentence);
  for (const conflict of conflicts) console.log(`  ! ${conflict.sentence}`);
  const gap = gapShare === null ? 'none, as no program keeps every limit' : gapWords(gapShare);
  console.log(
    `Objective ${moneyWords(objective, currency)}, no program below ${moneyWords(bound, currency)} (money of ${priceYear}); gap ${gap}`,
  );
  if (program.handMadeCost !== null) console.log(`Choices by hand add ${moneyWords(program.handMadeCost, currency)}`);
  for (const { year, works, lengthM, cost, failedShare, backlogM } of years)
    console.log(
      `  ${year}  ${String(works).padStart(6)} reseals  ${(lengthM / 1000).toFixed(1).padStart(8)} km  ${moneyWords(cost.median, currency).padStart(18)}  failed ${percentWords(failedShare.median)}, backlog ${(backlogM.median / 1000).toFixed(1)} km`,
    );
  const all = (each: Program['totals']) =>
    each.presentCost.median + each.presentOpenCost.median + each.presentFinalCost;
  console.log(`Work, open joints and what follows, discounted: ${moneyWords(all(totals), currency)}`);
  for (const { baseline, totals: other } of baselines)
    console.log(`  ${baseline.replaceAll('-', ' ')}: ${moneyWords(all(other), currency)}`);
}
