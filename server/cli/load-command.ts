import { mkdir, stat } from 'node:fs/promises';
import path from 'node:path';
import { ConfigError, type ConfigWishes } from '../config.ts';
import { type ImportFile, loadFiles, previewFiles } from '../import/load-files.ts';
import { describeProblem } from '../import/row-problem.ts';
import { type FilePreview, type Load, UNITS, type Unit } from '../schemas/load.ts';
import type { RecordKind } from '../schemas/words.ts';
import type { Store } from '../store/store.ts';
import { EXIT, type ExitCode, printJson, withStore } from './command-context.ts';

export interface LoadOptions extends ConfigWishes {
  readonly kind?: RecordKind;
  readonly unit: Record<string, string>;
  readonly swap?: boolean;
  readonly dryRun?: boolean;
  readonly refused?: string;
  readonly json?: boolean;
}

const PROBLEMS_SHOWN = 20;

/** Loads files, or with --dry-run only says what would happen. Exit code 1 when any row was refused. */
export async function loadCommand(files: readonly string[], options: LoadOptions): Promise<ExitCode> {
  const units = checkedUnits(options.unit);
  if (options.refused) await mkdir(options.refused, { recursive: true });
  const imports = await Promise.all(files.map((file) => importFile(file, options, units)));
  return withStore(options, async (store, context) => {
    const { previews, result } = options.dryRun
      ? { previews: await previewFiles(imports, context), result: null }
      : await loadFiles(imports, context);
    if (options.json) printJson({ result, previews });
    else {
      printLoad(previews, result);
      if (changedRows(result) > 0) await printNextStep(store);
    }
    return previews.some((file) => file.rowsRefused > 0 || file.kind === null) ? EXIT.refused : EXIT.done;
  });
}

async function importFile(file: string, options: LoadOptions, units: Record<string, Unit>): Promise<ImportFile> {
  const found = await stat(file).catch(() => null);
  if (!found?.isFile())
    throw new ConfigError(`${file} is ${found ? 'not a file' : 'not there'}; expected a file to load.`);
  const name = path.basename(file);
  return {
    name,
    path: file,
    choice: { uploadId: file, units, kind: options.kind, swapLonLat: options.swap },
    refusedPath: options.refused && path.join(options.refused, `${name.replace(/\.[^.]*$/, '')}-refused.csv`),
  };
}

function checkedUnits(pairs: Record<string, string>): Record<string, Unit> {
  for (const [field, unit] of Object.entries(pairs)) {
    if (!UNITS.some((known) => known === unit)) {
      throw new ConfigError(`unit of ${field} is ${unit}; expected one of ${UNITS.join(', ')}.`);
    }
  }
  return pairs as Record<string, Unit>;
}

const changedRows = (result: Load['result']): number =>
  (result ?? []).reduce((sum, line) => sum + line.inserted + line.updated, 0);

async function printNextStep(store: Store): Promise<void> {
  if ((await store.readSettings()).agencyInvented) {
    console.log(
      'These rows were added to the invented demo agency. For your own records use another folder: --data FOLDER',
    );
  }
  const stale = (await store.modelVersion()) !== null ? 'The forecast is now older than the records. ' : '';
  console.log(`${stale}Next: kerfcast forecast`);
}

function printLoad(previews: readonly FilePreview[], result: Load['result']): void {
  for (const preview of previews) {
    console.log(
      `${preview.file}: ${preview.kind ?? 'not read'}, ${preview.rowsAccepted} accepted, ${preview.rowsRefused} refused`,
    );
    for (const line of result?.filter((each) => each.file === preview.file) ?? []) {
      console.log(`  ${line.kind}: ${line.inserted} new, ${line.updated} changed, ${line.unchanged} as before`);
    }
    for (const note of preview.notes) console.log(`  note: ${note}`);
    for (const problem of preview.problems.slice(0, PROBLEMS_SHOWN)) console.log(`  ${describeProblem(problem)}`);
    const more = preview.rowsRefused - PROBLEMS_SHOWN;
    if (more > 0) console.log(`  … and more; --refused FOLDER writes all refused rows as CSV with the reason`);
  }
}
