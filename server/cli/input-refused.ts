export interface Refusal {
  readonly file: string;
  /** As a spreadsheet counts them: the header is row 1. 0 where the file as a whole is meant. */ readonly row: number;
  readonly field: string;
  readonly found: string;
  readonly expected: string;
  readonly hint?: string;
}

/** Something in a file given on the command line is not what it must be. The message says where, what and what is allowed. */
export class InputRefused extends Error implements Refusal {
  readonly file: string;
  readonly row: number;
  readonly field: string;
  readonly found: string;
  readonly expected: string;

  constructor({ file, row, field, found, expected, hint }: Refusal) {
    const place = row > 0 ? `${file} row ${row}` : file;
    super(`${place}, ${field} is ${found}; expected ${expected}.${hint ? ` ${hint}` : ''}`);
    this.name = 'InputRefused';
    this.file = file;
    this.row = row;
    this.field = field;
    this.found = found;
    this.expected = expected;
  }
}
