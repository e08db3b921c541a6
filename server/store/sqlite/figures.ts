import type { Connection } from './connection.ts';
import { floatsOf } from './number-blob.ts';

/** What runs are summed from: one entry for each segment row number. */
export interface Figures {
  lengthM: Float64Array;
  /** NaN: not inspected. */ damagedShare: Float64Array;
  /** 0: not due in the horizon. */ dueYear: Int16Array;
  /** Year ends of a forecast; 0 when there is none. */ yearEnds: number;
  /** `yearEnds` numbers a row; NaN: no forecast. */ failedByYearEnd: Float32Array;
}

type FigureLine = [
  row: number,
  lengthM: number,
  damagedShare: number | null,
  dueYear: number | null,
  failed: Buffer | null,
];

/** Figures of that many row numbers before anything is known of them. */
export const emptyFigures = (rows: number, yearEnds: number): Figures => ({
  lengthM: new Float64Array(rows),
  damagedShare: new Float64Array(rows).fill(Number.NaN),
  dueYear: new Int16Array(rows),
  yearEnds,
  failedByYearEnd: new Float32Array(rows * yearEnds).fill(Number.NaN),
});

/** @param facilities ids; other facilities' rows stay empty. null: all */
export function readFigures(connection: Connection, facilities: ReadonlySet<string> | null): Figures {
  const rows = 1 + (connection.get<{ top: number | null }>('SELECT max(row) AS top FROM segment')?.top ?? 0);
  const bytes = connection.get<{ bytes: number | null }>('SELECT max(length(failedByYearEnd)) AS bytes FROM state');
  const yearEnds = (bytes?.bytes ?? 0) / 4;
  const figures = emptyFigures(rows, yearEnds);
  const these = facilities ? 'WHERE s.facilityId IN (SELECT value FROM json_each(?))' : '';
  const lines = connection.db
    .prepare<unknown[], FigureLine>(
      `SELECT s.row, s.sealedLengthM, t.damagedShare, t.dueYear, t.failedByYearEnd
       FROM segment s JOIN state t ON t.segmentRow = s.row ${these}`,
    )
    .raw()
    .iterate(...(facilities ? [JSON.stringify([...facilities])] : [])) as IterableIterator<FigureLine>;
  for (const [row, lengthM, damagedShare, dueYear, failed] of lines) {
    figures.lengthM[row] = lengthM;
    if (damagedShare !== null) figures.damagedShare[row] = damagedShare;
    if (dueYear !== null) figures.dueYear[row] = dueYear;
    if (failed) figures.failedByYearEnd.set(floatsOf(failed), row * yearEnds);
  }
  return figures;
}
