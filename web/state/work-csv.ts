import type { ProgramWork } from '../../server/schemas/program.ts';
import type { CsvCell } from './evidence-csv.ts';

const COLUMNS = [
  'segmentId',
  'facilityId',
  'facilityName',
  'district',
  'jointType',
  'year',
  'sealantClass',
  'sealantClassInPlace',
  'lengthM',
  'cost',
  'constantCost',
  'failedChance',
  'savedByNotWaiting',
  'why',
  'reason',
] as const satisfies readonly (keyof ProgramWork)[];

/** Works as a file, head row first, in SI units and shares of 1. */
export const workCsv = (works: readonly ProgramWork[]): CsvCell[][] => [
  [...COLUMNS],
  ...works.map((work) => COLUMNS.map((column) => work[column])),
];
