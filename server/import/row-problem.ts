import { TaskCancelled } from '../jobs/task.ts';
import type { RowProblem } from '../schemas/load.ts';

/** A problem inside one row, before file and row are added. */
export type FieldProblem = Omit<RowProblem, 'file' | 'row'>;

/** One sentence that a person can act on: the place, what was found, what is allowed, the next step. */
export const describeProblem = (p: RowProblem): string => `${p.file} row ${p.row}, ${describeField(p)}`;

export const describeField = (p: FieldProblem): string =>
  `${p.field} is ${p.found}; expected ${p.expected}.${p.hint ? ` ${p.hint}` : ''}`;

/** A file that cannot be read as rows at all. The preview reports it on that file; it never reaches the caller. */
export class FileRefused extends Error {
  readonly problem: FieldProblem;
  readonly row: number;
  constructor(problem: FieldProblem, row = 1) {
    super(describeField(problem));
    this.name = 'FileRefused';
    this.problem = problem;
    this.row = row;
  }
}

/** The user stopped the preview or the load; nothing of it was kept. */
export class ImportCancelled extends TaskCancelled {}

const SHOWN_CHARACTERS = 80;

/** A value as shown in a problem: on one line, cut short, `empty` when there is none. */
export function showValue(value: unknown): string {
  if (value === null || value === undefined || value === '') return 'empty';
  if (Array.isArray(value)) return 'a list';
  if (typeof value === 'object') return 'an object';
  const text = String(value)
    .slice(0, SHOWN_CHARACTERS + 1)
    .replace(/[\p{Cc}\p{Cs}]/gu, '�');
  return text.length > SHOWN_CHARACTERS ? `${text.slice(0, SHOWN_CHARACTERS)}…` : text;
}
