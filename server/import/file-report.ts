import type { FilePreview, RowProblem } from '../schemas/load.ts';
import type { FieldProblem } from './row-problem.ts';

export const PROBLEMS_SHOWN = 200;
const COUNTS_KEPT = 500;
const NOTES_KEPT = 100;

/** What is told about one file: counts, the first problems, how often each kind of problem came, and notes. */
export class FileReport {
  rowsAccepted = 0;
  rowsRefused = 0;
  private readonly file: string;
  private readonly problems: RowProblem[] = [];
  private readonly counts = new Map<string, { field: string; expected: string; count: number }>();
  private readonly notes = new Map<string, number>();

  constructor(file: string) {
    this.file = file;
  }

  /** One more row like that. The text is shown once, with the number of rows behind it. */
  note(text: string): void {
    const before = this.notes.get(text);
    if (before !== undefined || this.notes.size < NOTES_KEPT) this.notes.set(text, (before ?? 0) + 1);
  }

  /** Said of the file as a whole. */
  remark(text: string): void {
    if (this.notes.size < NOTES_KEPT) this.notes.set(text, 0);
  }

  refuseRow(row: number, problems: readonly FieldProblem[]): void {
    this.rowsRefused++;
    for (const problem of problems) this.addProblem(row, problem);
  }

  addProblem(row: number, problem: FieldProblem): void {
    if (this.problems.length < PROBLEMS_SHOWN) this.problems.push({ file: this.file, row, ...problem });
    const key = `${problem.field}\n${problem.expected}`;
    const counted = this.counts.get(key);
    if (counted) counted.count++;
    else if (this.counts.size < COUNTS_KEPT) {
      this.counts.set(key, { field: problem.field, expected: problem.expected, count: 1 });
    }
  }

  summary(): Pick<FilePreview, 'rowsRead' | 'rowsAccepted' | 'rowsRefused' | 'problems' | 'problemCounts' | 'notes'> {
    return {
      rowsRead: this.rowsAccepted + this.rowsRefused,
      rowsAccepted: this.rowsAccepted,
      rowsRefused: this.rowsRefused,
      problems: this.problems,
      problemCounts: [...this.counts.values()].sort((a, b) => b.count - a.count),
      notes: [...this.notes].map(([text, rows]) =>
        rows === 0 ? text : `${text} (${rows} ${rows === 1 ? 'row' : 'rows'}).`,
      ),
    };
  }
}
