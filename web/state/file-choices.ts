import type { FileChoice, FilePreview, Load, Unit } from '../../server/schemas/load.ts';
import type { RecordKind } from '../../server/schemas/words.ts';

/** What the user says about each file, edited before the preview is made again. All functions return new lists. */
type Choices = readonly FileChoice[];

const change = (choices: Choices, uploadId: string, edit: (choice: FileChoice) => FileChoice): FileChoice[] =>
  choices.map((choice) => (choice.uploadId === uploadId ? edit(choice) : choice));

/** Another kind has other fields, so what was said about columns and units no longer holds. */
export const chooseKind = (choices: Choices, uploadId: string, kind: RecordKind): FileChoice[] =>
  change(choices, uploadId, () => ({ uploadId, kind }));

/** Reads a column as `field`, '' leaves it out. The column that was read as that field before is let go. */
export function chooseField(
  choices: Choices,
  preview: Pick<FilePreview, 'uploadId' | 'columns'>,
  { column, field }: { column: string; field: string },
): FileChoice[] {
  return change(choices, preview.uploadId, (choice) => {
    const columns = { ...choice.columns };
    for (const other of preview.columns) {
      const readAs = columns[other.column] ?? other.field ?? '';
      if (field !== '' && other.column !== column && readAs === field) columns[other.column] = '';
    }
    columns[column] = field;
    return { ...choice, columns };
  });
}

export const chooseUnit = (
  choices: Choices,
  uploadId: string,
  { field, unit }: { field: string; unit: Unit },
): FileChoice[] =>
  change(choices, uploadId, (choice) => ({
    ...choice,
    units: { ...choice.units, [field]: unit },
  }));

export const chooseSwap = (choices: Choices, uploadId: string, swapLonLat: boolean): FileChoice[] =>
  change(choices, uploadId, (choice) => ({ ...choice, swapLonLat }));

/** The load without one of its files. */
export const leaveOut = (choices: Choices, uploadId: string): FileChoice[] =>
  choices.filter((choice) => choice.uploadId !== uploadId);

/** Takes a file that was left out in again, at its place and as it was said before. */
export const putBack = (choices: Choices, uploadId: string, before: Choices): FileChoice[] =>
  before.flatMap((was) => {
    const now = choices.find((choice) => choice.uploadId === was.uploadId);
    return now ?? (was.uploadId === uploadId ? was : []);
  });

/** True when the preview on screen was made with exactly these choices. */
export const sameChoices = (a: Choices, b: Choices): boolean => canonical(a) === canonical(b);

function canonical(choices: Choices): string {
  const sorted = (record: Record<string, string> | undefined) =>
    Object.entries(record ?? {}).sort(([a], [b]) => (a < b ? -1 : 1));
  return JSON.stringify(
    choices.map(({ uploadId, kind, columns, units, swapLonLat }) => [
      uploadId,
      kind ?? null,
      sorted(columns),
      sorted(units),
      swapLonLat ?? false,
    ]),
  );
}

/** What a column will be read as once these choices are read. */
export function fieldChosen(choice: FileChoice | undefined, column: FilePreview['columns'][number]): string {
  return choice?.columns?.[column.column] ?? column.field ?? '';
}

/** The load that waits for the user or the server: previewing, ready to load or loading. Loads are newest first. */
export const openLoad = (loads: readonly Load[]): Load | null =>
  loads.find(({ state }) => state === 'previewing' || state === 'ready' || state === 'loading') ?? null;

/** What was understood of a file's columns, in a line: "16 columns: 14 read, 2 left out, 1 unit guessed". */
export function describeColumns({ columns }: Pick<FilePreview, 'columns'>): string {
  const read = columns.filter(({ field }) => field !== null).length;
  const guessed = columns.filter(({ unitGuessed }) => unitGuessed).length;
  const leftOut = columns.length - read;
  const parts = [
    leftOut === 0 ? 'all read' : `${read} read, ${leftOut} left out`,
    ...(guessed > 0 ? [`${guessed} ${guessed === 1 ? 'unit' : 'units'} guessed`] : []),
  ];
  return `${columns.length} ${columns.length === 1 ? 'column' : 'columns'}: ${parts.join(', ')}`;
}

/** True when the columns of a file want a look before it is loaded. */
export const wantsLook = ({ columns, missingColumns }: FilePreview): boolean =>
  missingColumns.length > 0 || columns.some(({ field, unitGuessed }) => field === null || unitGuessed);

/** Rows of all files together. */
export function countRows(files: readonly FilePreview[]): {
  read: number;
  accepted: number;
  refused: number;
} {
  const sum = (pick: (file: FilePreview) => number) => files.reduce((total, file) => total + pick(file), 0);
  return {
    read: sum((file) => file.rowsRead),
    accepted: sum((file) => file.rowsAccepted),
    refused: sum((file) => file.rowsRefused),
  };
}

/** Why the load cannot start yet; null when it can. */
export function whyNotReady(files: readonly FilePreview[]): string | null {
  const unknown = files.find(({ kind }) => kind === null);
  if (unknown) return `Say what the rows of ${unknown.file} are.`;
  if (countRows(files).accepted === 0) return 'No row can be loaded as the files are. Mend the refused rows first.';
  return null;
}

/** True when a file's coordinates look the wrong way round, going by what the server found. */
export function suggestsSwap(file: FilePreview): boolean {
  const said = [...file.notes, ...file.problems.map(({ hint }) => hint ?? '')];
  return said.some((text) => /longitude and latitude/i.test(text));
}
