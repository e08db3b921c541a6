import type { Connection } from './connection.ts';
import { workTable } from './work-table.ts';

/** In which years of a program each segment is worked on, by segment row number. */
export interface WorkYears {
  /** Years of the horizon. */ readonly years: number;
  /** Rows x years: 1 with work in that year. */ readonly worked: Uint8Array;
  /** By row. */ readonly lengthM: Float64Array;
}

export function readWorkYears(connection: Connection, programNumber: number): WorkYears {
  const horizon = connection.get<{ first: number; years: number }>(
    `SELECT report ->> '$.years[0].year' AS first, json_array_length(report, '$.years') AS years
     FROM program WHERE number = ?`,
    programNumber,
  );
  const { first, years } = horizon ?? { first: 0, years: 0 };
  const rows = 1 + (connection.get<{ top: number | null }>('SELECT max(row) AS top FROM segment')?.top ?? 0);
  const found = { years, worked: new Uint8Array(rows * years), lengthM: new Float64Array(rows) };
  const lengths = connection.lines<[number, number]>('SELECT row, sealedLengthM FROM segment');
  for (const [row, lengthM] of lengths) found.lengthM[row] = lengthM;
  const works = connection.lines<[number, number]>(
    `SELECT s.row, w.year FROM ${workTable(programNumber)} w JOIN segment s ON s.id = w.segmentId`,
  );
  for (const [row, year] of works)
    if (year >= first && year < first + years) found.worked[row * years + year - first] = 1;
  return found;
}

/** Share of the length of some segments that is worked on in each year. @param kept one entry a row; null: all count */
export function workedShares(
  members: ArrayLike<number>,
  { years, worked, lengthM }: WorkYears,
  kept: Uint8Array | null = null,
): Float32Array {
  const sums = new Float64Array(years);
  let allM = 0;
  for (let i = 0; i < members.length; i++) {
    const row = members[i];
    if (kept && kept[row] !== 1) continue;
    allM += lengthM[row];
    for (let y = 0; y < years; y++) sums[y] += worked[row * years + y] * lengthM[row];
  }
  return Float32Array.from(sums, (sum) => (allM === 0 ? 0 : sum / allM));
}
