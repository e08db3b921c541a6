import type { ColumnMap, MappedColumn } from './column-map.ts';
import { type Period, readDay, readPeriod } from './dates.ts';
import type { Limits } from './field-spec.ts';
import type { FileReport } from './file-report.ts';
import { numberHint, parseNumber } from './numbers.ts';
import { type FieldProblem, showValue } from './row-problem.ts';
import { normaliseWord, type WordTable } from './trade-words.ts';
import { toStored, unitLabel, unitsOf, unitWords } from './units.ts';

const TRUE_WORDS = new Set(['true', 'yes', 'y', '1', 't']);
const FALSE_WORDS = new Set(['false', 'no', 'n', '0', 'f']);
/** Characters that no text of a record has: control characters but tab and newline, and halves of a character. */
const ODD_CHARACTER = /\p{Cs}|[^\P{Cc}\t\n\r]/u;

/**
 * Reads the fields of one row after another. Each method gives null when the cell is empty or wrong; what is wrong is
 * added to `problems`, and a row with problems is refused as a whole.
 */
export class RowReader {
  row = 0;
  problems: FieldProblem[] = [];
  private values: readonly unknown[] = [];
  private readonly columns: ReadonlyMap<string, MappedColumn>;
  private readonly decimalComma: boolean;
  private readonly report: FileReport;

  constructor(map: ColumnMap, decimalComma: boolean, report: FileReport) {
    this.columns = map.byField;
    this.decimalComma = decimalComma;
    this.report = report;
  }

  start(row: number, values: readonly unknown[]): void {
    this.row = row;
    this.values = values;
    this.problems = [];
  }

  has(field: string): boolean {
    return this.columns.has(field);
  }

  /** The cell as the file has it, text without the spaces round it; null when there is nothing in it. */
  raw(field: string): unknown {
    const mapped = this.columns.get(field);
    if (!mapped) return null;
    const value = this.values[mapped.index];
    if (typeof value !== 'string') return value ?? null;
    const text = value.trim();
    return text === '' ? null : text;
  }

  refuse(field: string, found: unknown, expected: string, hint?: string): null {
    this.problems.push({ field, found: showValue(found), expected, ...(hint ? { hint } : {}) });
    return null;
  }

  note(text: string): void {
    this.report.note(text);
  }

  /** A field that must not be empty: its value, or null and a problem unless it is already refused. */
  required<T>(field: string, value: T | null, expected: string, hint?: string): T | null {
    if (value === null && this.raw(field) === null) this.refuse(field, null, expected, hint);
    return value;
  }

  text(field: string): string | null {
    const value = this.raw(field);
    if (value === null) return null;
    if (typeof value === 'object') return this.refuse(field, value, 'text or a number');
    if (typeof value === 'number' && Number.isInteger(value) && !Number.isSafeInteger(value)) {
      return this.refuse(field, value, 'a text or a number of at most 15 digits', 'Put the number in quotes.');
    }
    const text = String(value);
    const { maxLength } = this.limits(field);
    if (text.length > maxLength)
      return this.refuse(field, `${text.length} characters long`, `at most ${maxLength} characters`);
    if (ODD_CHARACTER.test(text)) return this.refuse(field, text, 'text without control characters');
    return text;
  }

  /** A number in the stored unit, within the limits of the schema. */
  number(field: string): number | null {
    const value = this.raw(field);
    if (value === null) return null;
    const number =
      typeof value === 'number' ? value : typeof value === 'string' ? parseNumber(value, this.decimalComma) : null;
    const mapped = this.columns.get(field);
    if (number === null || !Number.isFinite(number) || !mapped) {
      return this.refuse(field, value, this.allowed(field), typeof value === 'string' ? numberHint(value) : undefined);
    }
    const { dimension } = mapped.spec;
    const stored = dimension && mapped.unit ? toStored(number, mapped.unit, dimension) : number;
    if (isWithin(stored, this.limits(field))) return stored;
    const converted = stored === number ? '' : ` ${mapped.unit} (${stored} ${dimension ? unitLabel(dimension) : ''})`;
    return this.refuse(field, `${showValue(value)}${converted}`, this.allowed(field), otherUnitHint(mapped, number));
  }

  /** One of the fixed words of the field, or another spelling of it. */
  word<W extends string>(field: string): W | null {
    const text = this.text(field);
    if (text === null) return null;
    const table = this.columns.get(field)?.spec.words as WordTable;
    const spelling = normaliseWord(text);
    const word = table.bySpelling.get(spelling);
    if (word === undefined)
      return this.refuse(field, text, `one of ${table.words.join(', ')}`, table.vague.get(spelling));
    if (normaliseWord(word) !== spelling) this.note(`${field} "${showValue(text)}" was read as ${word}`);
    return word as W;
  }

  flag(field: string): boolean | null {
    const value = this.raw(field);
    if (value === null || typeof value === 'boolean') return value;
    const text = String(value).toLowerCase();
    if (TRUE_WORDS.has(text)) return true;
    if (FALSE_WORDS.has(text)) return false;
    return this.refuse(field, value, 'yes or no');
  }

  day(field: string): string | null {
    const value = this.raw(field);
    if (value === null) return null;
    const reading = readDay(String(value));
    return reading.ok ? reading.value : this.refuse(field, value, 'a day as YYYY-MM-DD', reading.hint);
  }

  period(field: string): Period | null {
    const value = this.raw(field);
    if (value === null) return null;
    const reading = readPeriod(String(value));
    if (reading.ok) return reading.value;
    return this.refuse(
      field,
      value,
      'a day, month or year (YYYY-MM-DD, YYYY-MM, YYYY) or a range of two (2003/2006)',
      reading.hint,
    );
  }

  private limits(field: string): Limits {
    return (this.columns.get(field) as MappedColumn).spec.limits;
  }

  private allowed(field: string): string {
    const mapped = this.columns.get(field) as MappedColumn;
    return allowedRange(mapped);
  }
}

const isWithin = (value: number, limits: Limits): boolean =>
  value >= limits.minimum &&
  value <= limits.maximum &&
  !(limits.aboveMinimum && value === limits.minimum) &&
  !(limits.whole && !Number.isInteger(value));

function allowedRange({ spec }: MappedColumn): string {
  const { minimum, maximum, aboveMinimum, whole } = spec.limits;
  const label = spec.dimension ? unitLabel(spec.dimension) : '';
  const range = aboveMinimum ? `above ${minimum}, at most ${maximum}` : `${minimum} to ${maximum}`;
  return `${whole ? 'a whole number, ' : ''}${range}${label ? ` ${label}` : ''}`;
}

/** Asks for another unit when the number would be right in it. */
function otherUnitHint(mapped: MappedColumn, number: number): string | undefined {
  const { dimension, limits } = mapped.spec;
  if (!dimension || limits.maximum === Number.POSITIVE_INFINITY) return undefined;
  const better = unitsOf(dimension).find(
    (unit) => unit !== mapped.unit && isWithin(toStored(number, unit, dimension), limits),
  );
  return better ? `Is the column in ${unitWords(better)}?` : undefined;
}
