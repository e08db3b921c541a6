import type { ScenarioInputs } from '../../server/schemas/scenario.ts';
import type { SealantClass } from '../../server/schemas/words.ts';
import { SEALANT_CLASS_LABELS } from './words.ts';

type Committed = ScenarioInputs['committed'][number];
type HeldBack = ScenarioInputs['heldBack'][number];

/** A pasted line that was not taken, in words. */
export interface PasteProblem {
  readonly line: number;
  readonly message: string;
}
export interface Pasted<Row> {
  readonly rows: readonly Row[];
  readonly problems: readonly PasteProblem[];
}

/** Cells of a pasted table, first line first. */
type Cells = readonly (readonly string[])[];

export const COMMITTED_COLUMNS = ['segmentId', 'year', 'sealantClass'] as const;
export const HELD_BACK_COLUMNS = ['segmentId', 'facilityId', 'pavementYear', 'yearsBefore'] as const;

/** Years before new pavement in which nothing is resealed, where a line gives none: common practice. */
export const USUAL_YEARS_BEFORE = 3;
const MOST_ROWS = 100_000;

const named = (name: string): string => name.toLowerCase().replace(/[^a-z]/g, '');

/** Which column is which: by the names in the first line, or else in the order given. */
function columnsOf<C extends string>(cells: Cells, columns: readonly C[], unnamed: readonly C[]) {
  const head = (cells[0] ?? []).map(named);
  const byName = columns.map((column) => head.indexOf(named(column)));
  const hasHead = byName.some((place) => place >= 0);
  const place = (column: C): number => (hasHead ? byName[columns.indexOf(column)] : unnamed.indexOf(column));
  const cell = (line: readonly string[], column: C): string => (line[place(column)] ?? '').trim();
  return { first: hasHead ? 1 : 0, cell };
}

function readLines<Row>(cells: Cells, first: number, read: (line: readonly string[]) => Row | string): Pasted<Row> {
  const rows: Row[] = [];
  const problems: PasteProblem[] = [];
  for (const [index, line] of cells.entries()) {
    if (index < first || line.every((cell) => cell.trim() === '')) continue;
    const row = read(line);
    if (typeof row === 'string') problems.push({ line: index + 1, message: row });
    else if (rows.length >= MOST_ROWS) problems.push({ line: index + 1, message: `Only ${MOST_ROWS} rows are taken.` });
    else rows.push(row);
  }
  return { rows, problems };
}

function yearOf(text: string): number | null {
  const year = /^\d{4}$/.test(text) ? Number(text) : null;
  return year !== null && year >= 1900 && year <= 2300 ? year : null;
}

function classOf(text: string): SealantClass | null {
  const wanted = named(text);
  const found = Object.entries(SEALANT_CLASS_LABELS).find(([word, label]) => [word, label].map(named).includes(wanted));
  return (found?.[0] as SealantClass | undefined) ?? null;
}

/** Lines of segment, year and (if wanted) sealant class. */
export function readCommitted(cells: Cells): Pasted<Committed> {
  const { first, cell } = columnsOf(cells, COMMITTED_COLUMNS, COMMITTED_COLUMNS);
  return readLines(cells, first, (line): Committed | string => {
    const [segmentId, yearText, classText] = COMMITTED_COLUMNS.map((column) => cell(line, column));
    if (segmentId === '') return 'segmentId is empty; expected the key of a segment.';
    const year = yearOf(yearText);
    if (year === null) return `year is ${yearText || 'empty'}; expected a year from 1900 to 2300.`;
    const sealantClass = classText === '' ? null : classOf(classText);
    if (classText !== '' && sealantClass === null)
      return `sealantClass is ${classText}; expected one of ${Object.keys(SEALANT_CLASS_LABELS).join(', ')}, or nothing.`;
    return { segmentId, year, sealantClass };
  });
}

/**
 * Lines of segment or facility, year of the new pavement and (if wanted) years before it. Without named columns the first
 * is a facility where it is the key of one, and a segment otherwise.
 */
export function readHeldBack(cells: Cells, facilityIds: ReadonlySet<string>): Pasted<HeldBack> {
  const { first, cell } = columnsOf(cells, HELD_BACK_COLUMNS, ['segmentId', 'pavementYear', 'yearsBefore']);
  return readLines(cells, first, (line): HeldBack | string => {
    const [segmentText, facilityText, yearText, beforeText] = HELD_BACK_COLUMNS.map((column) => cell(line, column));
    if (segmentText === '' && facilityText === '') return 'Neither segmentId nor facilityId is given; expected one.';
    if (segmentText !== '' && facilityText !== '') return 'Both segmentId and facilityId are given; expected one.';
    const pavementYear = yearOf(yearText);
    if (pavementYear === null) return `pavementYear is ${yearText || 'empty'}; expected a year from 1900 to 2300.`;
    const yearsBefore = beforeText === '' ? USUAL_YEARS_BEFORE : Number(beforeText);
    if (!Number.isInteger(yearsBefore) || yearsBefore < 0 || yearsBefore > 40)
      return `yearsBefore is ${beforeText}; expected a whole number from 0 to 40.`;
    const facilityId = facilityText || (first === 0 && facilityIds.has(segmentText) ? segmentText : null);
    return { segmentId: facilityId === null ? segmentText : null, facilityId, pavementYear, yearsBefore };
  });
}

/** The list with the new rows in it: a segment (or facility) that is in both is as in the new ones. */
export function mergeRows<Row>(old: readonly Row[], rows: readonly Row[], keyOf: (row: Row) => string): Row[] {
  const merged = new Map(old.map((row) => [keyOf(row), row]));
  for (const row of rows) merged.set(keyOf(row), row);
  return [...merged.values()];
}

export const committedKey = ({ segmentId, year }: Committed): string => `${segmentId} ${year}`;
export const heldBackKey = ({ segmentId, facilityId }: HeldBack): string => `${segmentId ?? ''} ${facilityId ?? ''}`;
