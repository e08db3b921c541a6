#!/usr/bin/env node
import { realpathSync } from 'node:fs';
import { pathToFileURL } from 'node:url';
import { parseArgs } from 'node:util';
import { DEFAULT_SEED, FEWEST_SEGMENTS, MOST_SEGMENTS, makeDemo } from './make-demo.ts';

export { DEMO_FILES, DEMO_SETTINGS } from './agency.ts';
export { type DemoRequest, makeDemo } from './make-demo.ts';
export type { DemoTruth } from './truth.ts';

const USAGE = `Usage: npm run demo:make -- --segments N --out DIR [--seed S] [--inspection-share P]

Writes the records of an invented agency to DIR.
  --segments N          joint segments, ${FEWEST_SEGMENTS} to ${MOST_SEGMENTS}
  --out DIR             folder; made if need be, files of the same names are overwritten
  --seed S              whole number, ${DEFAULT_SEED} unless said; the same seed and size give the same bytes
  --inspection-share P  share of inspection rounds that took place, above 0 to 1; 1 unless said
  --help                this text
`;

/** Runs the command. @returns the exit code: 0 done, 1 could not write, 2 wrong usage */
export async function runMake(
  args: readonly string[],
  print: NodeJS.WritableStream = process.stdout,
  complain: NodeJS.WritableStream = process.stderr,
): Promise<number> {
  const usageError = (message: string) => {
    complain.write(`${message}\n\n${USAGE}`);
    return 2;
  };
  let request: Parameters<typeof makeDemo>[0];
  try {
    const { values } = parseArgs({ args: [...args], options: OPTIONS, strict: true });
    if (values.help) {
      print.write(USAGE);
      return 0;
    }
    if (values.segments === undefined || values.out === undefined)
      return usageError('--segments and --out are needed.');
    request = {
      segments: Number(values.segments),
      outDir: values.out,
      seed: values.seed === undefined ? undefined : Number(values.seed),
      inspectionShare: values['inspection-share'] === undefined ? undefined : Number(values['inspection-share']),
    };
  } catch (error) {
    return usageError(error instanceof Error ? error.message : String(error));
  }
  try {
    const { counts } = await makeDemo({ ...request, onProgress: reportEvery(complain) });
    const { segments, sealsRecorded, inspections } = counts;
    print.write(
      `Wrote ${segments} segments, ${sealsRecorded} seals, ${inspections} inspections to ${request.outDir}. All invented.\n`,
    );
    return 0;
  } catch (error) {
    if (error instanceof RangeError) return usageError(error.message);
    complain.write(`Could not write the demo: ${error instanceof Error ? error.message : String(error)}\n`);
    return 1;
  }
}

const OPTIONS = {
  segments: { type: 'string' },
  out: { type: 'string' },
  seed: { type: 'string' },
  'inspection-share': { type: 'string' },
  help: { type: 'boolean' },
} as const;

/** A line for every tenth of a large network. */
function reportEvery(to: NodeJS.WritableStream) {
  let reported = 0;
  return (done: number, inAll: number) => {
    const tenths = Math.floor((done / inAll) * 10);
    if (inAll < 50_000 || tenths <= reported) return;
    reported = tenths;
    to.write(`${tenths * 10} %\n`);
  };
}

if (process.argv[1] && import.meta.url === pathToFileURL(realpathSync(process.argv[1])).href) {
  process.exitCode = await runMake(process.argv.slice(2));
}
