import type { Program } from '../schemas/program.ts';
import type { Store } from '../store/store.ts';
import { programWorkbook } from './program-workbook.ts';
import { programReportPdf } from './report/program-report-pdf.ts';
import type { Units } from './units.ts';

/** Files of a program that are made whole, not row by row. */
export const WHOLE_FILES = ['xlsx', 'pdf'] as const;
export type WholeFile = (typeof WHOLE_FILES)[number];

export interface FileRequest {
  readonly program: Program;
  readonly format: WholeFile;
  readonly units: Units;
}

export const programFile = (store: Store, { program, format, units }: FileRequest): Promise<Buffer> =>
  format === 'xlsx' ? programWorkbook(store, program, units) : programReportPdf(store, program, units);
