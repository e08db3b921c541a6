import type { FieldProblem } from './row-problem.ts';

/** One row as the file has it, before anything is made of it. */
export interface RawRow {
  /** As a spreadsheet shows it (header is row 1); for GeoJSON, the feature counted from 1. */
  readonly row: number;
  /** One for each column of the source; text in CSV, any JSON value in GeoJSON. */
  readonly values: readonly unknown[];
  /** Set when the row's form is broken: it is refused unread. */
  readonly broken?: FieldProblem;
}

/** Rows of one file in batches, with how far into the file they reach. */
export interface RawBatch {
  readonly rows: RawRow[];
  /** Bytes read so far. */ readonly bytes: number;
}

/** What is known of a file's columns before its rows are checked. */
export interface FileShape {
  readonly format: 'csv' | 'geojson';
  readonly columns: readonly string[];
  /** Some values of each column, from all over the file, to guess units by. */
  readonly samples: readonly (readonly unknown[])[];
  readonly decimalComma: boolean;
  /** Column delimiter of a CSV file; a comma for GeoJSON, whose refused rows are written as CSV. */
  readonly delimiter: string;
  readonly notes: readonly string[];
}

/** The longest line or feature that is read; a joint segment takes some hundred bytes. */
export const LONGEST_ROW_BYTES = 4_000_000;
