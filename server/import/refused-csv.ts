import { closeSync, openSync, rmSync, writeSync } from 'node:fs';
import { stringify } from 'csv-stringify/sync';
import type { LineGeometry } from '../schemas/segment.ts';
import type { ColumnMap, MappedColumn } from './column-map.ts';
import { REASON_COLUMN } from './csv-source.ts';
import { checkGeometry } from './geometry-check.ts';
import { parseNumber } from './numbers.ts';
import type { FileShape, RawRow } from './raw-row.ts';
import { describeField, type FieldProblem } from './row-problem.ts';
import { storedUnit, unitEndings } from './units.ts';
import { toWkt } from './wkt.ts';

const ROWS_PER_WRITE = 500;
const BYTE_ORDER_MARK = '\uFEFF';

/**
 * The refused rows of one file as CSV, written as they come: the file's own columns in their order, then the reason.
 * Mended in a spreadsheet it can be loaded as it is: the delimiter is the file's own, units that no column name said
 * are added to the names, geometry is well-known text, and longitude comes first. No file is made while no row is
 * refused.
 */
export class RefusedCsv {
  private readonly path: string;
  private readonly shape: FileShape;
  private readonly map: ColumnMap;
  private readonly swapLonLat: boolean;
  private handle: number | null = null;
  private waiting: string[][] = [];

  constructor(target: { path: string; shape: FileShape; map: ColumnMap; swapLonLat: boolean }) {
    this.path = target.path;
    this.shape = target.shape;
    this.map = target.map;
    this.swapLonLat = target.swapLonLat;
    rmSync(this.path, { force: true });
  }

  write(raw: RawRow, problems: readonly FieldProblem[]): void {
    if (this.handle === null) {
      this.handle = openSync(this.path, 'w');
      writeSync(this.handle, BYTE_ORDER_MARK);
      this.waiting.push(this.header());
    }
    const reason = problems.map(describeField).join(' | ');
    this.waiting.push([...this.cells(raw), reason].map(guardFormula));
    if (this.waiting.length >= ROWS_PER_WRITE) this.flush();
  }

  close(): void {
    if (this.handle === null) return;
    this.flush();
    closeSync(this.handle);
    this.handle = null;
  }

  private flush(): void {
    const text = stringify(this.waiting, { delimiter: this.shape.delimiter, record_delimiter: '\r\n' });
    if (this.handle !== null) writeSync(this.handle, text);
    this.waiting = [];
  }

  private header(): string[] {
    const byIndex = new Map([...this.map.byField.values()].map((mapped) => [mapped.index, mapped]));
    const names = this.shape.columns.map((column, index) => nameWithUnit(column, byIndex.get(index)));
    return [...this.withoutReason(names), REASON_COLUMN].map(guardFormula);
  }

  private cells(raw: RawRow): string[] {
    const values: unknown[] = this.shape.columns.map((_, index) => raw.values[index] ?? null);
    const geometry = this.map.byField.get('geometry')?.index;
    if (geometry !== undefined) values[geometry] = geometryCell(values[geometry], this.swapLonLat);
    const [lon, lat] = [this.map.byField.get('lon')?.index, this.map.byField.get('lat')?.index];
    if (this.swapLonLat && lon !== undefined && lat !== undefined) {
      [values[lon], values[lat]] = [values[lat], values[lon]];
    }
    return this.withoutReason(values.map(cellText));
  }

  /** A reason from an earlier round gives way to the new one. */
  private withoutReason(cells: string[]): string[] {
    return cells.filter((_, index) => this.shape.columns[index] !== REASON_COLUMN);
  }
}

function cellText(value: unknown): string {
  if (value === null || value === undefined) return '';
  return typeof value === 'object' ? JSON.stringify(value) : String(value);
}

/** A line as well-known text, longitude first; what is no line as it is, for mending by hand. */
function geometryCell(value: unknown, swapLonLat: boolean): unknown {
  if (typeof value === 'string' && !swapLonLat) return value;
  const result = checkGeometry(value, { swapLonLat, expectedBoxes: [] });
  if (result.ok) return toWkt(result.geometry);
  return isLine(value) && !swapLonLat ? toWkt(value) : value;
}

function isLine(value: unknown): value is LineGeometry {
  if (typeof value !== 'object' || value === null) return false;
  const { type, coordinates } = value as { type?: unknown; coordinates?: unknown };
  const isPositions = (list: unknown) =>
    Array.isArray(list) &&
    list.length > 0 &&
    list.every((p) => Array.isArray(p) && p.length > 1 && p.every(Number.isFinite));
  if (type === 'LineString') return isPositions(coordinates);
  return type === 'MultiLineString' && Array.isArray(coordinates) && coordinates.every(isPositions);
}

/** The column's name, with the unit its numbers were read in unless the name says so already. */
function nameWithUnit(column: string, mapped: MappedColumn | undefined): string {
  if (!mapped?.unit || !mapped.spec.dimension || (mapped.unitNamed && mapped.unit === mapped.namedUnit)) return column;
  if (!mapped.unitNamed) return `${column} [${mapped.unit}]`;
  const own = mapped.spec.field.toLowerCase();
  const ending = unitEndings(storedUnit(mapped.spec.dimension)).find(
    (end) => own.endsWith(end) && own.length > end.length,
  );
  return `${mapped.spec.field.slice(0, own.length - (ending?.length ?? 0))} [${mapped.unit}]`;
}

/**
 * An apostrophe before text that a spreadsheet would take for a formula. Reading takes one apostrophe off again, so text
 * that has such apostrophes of its own gets one more. Numbers are left alone.
 */
export function guardFormula(cell: string): string {
  return /^'*[=+\-@\t\r]/.test(cell) && parseNumber(cell, true) === null ? `'${cell}` : cell;
}
