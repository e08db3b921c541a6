import { closeSync, openSync, writeSync } from 'node:fs';

const CHUNK_CHARACTERS = 1 << 20;

/** A text file written in large pieces, so that its whole text never lies in memory. UTF-8, lines end in a line feed. */
export class TextFile {
  private readonly file: number;
  private parts: string[] = [];
  private waiting = 0;
  private written = 0;

  /** Overwrites the file. */
  constructor(path: string) {
    this.file = openSync(path, 'w');
  }

  write(text: string): void {
    this.parts.push(text);
    this.waiting += text.length;
    if (this.waiting >= CHUNK_CHARACTERS) this.flush();
  }

  /** @returns the bytes written in all */
  close(): number {
    this.flush();
    closeSync(this.file);
    return this.written;
  }

  private flush(): void {
    const bytes = Buffer.from(this.parts.join(''), 'utf8');
    for (let at = 0; at < bytes.length; ) at += writeSync(this.file, bytes, at);
    this.written += bytes.length;
    this.parts = [];
    this.waiting = 0;
  }
}

export type Cell = string | number | boolean | null | undefined;

const quote = (text: string): string => (/[",\n\r]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text);
const cellText = (cell: Cell): string => (cell === null || cell === undefined ? '' : quote(String(cell)));

/** A CSV file after RFC 4180 with a header; an absent value is an empty cell. Counts its rows as a spreadsheet does. */
export class CsvFile {
  private readonly text: TextFile;
  /** Row last written; the header is row 1. */ row = 0;

  constructor(path: string, header: readonly string[]) {
    this.text = new TextFile(path);
    this.write(header);
  }

  write(cells: readonly Cell[]): void {
    this.text.write(`${cells.map(cellText).join(',')}\n`);
    this.row++;
  }

  close(): number {
    return this.text.close();
  }
}

/** A GeoJSON FeatureCollection (RFC 7946), one feature a line. Features are counted from 1. */
export class GeoJsonFile {
  private readonly text: TextFile;
  /** Features written so far. */ row = 0;

  constructor(path: string) {
    this.text = new TextFile(path);
    this.text.write('{"type":"FeatureCollection","features":[\n');
  }

  write(properties: object, geometry: object | null): void {
    const feature = JSON.stringify({ type: 'Feature', properties, geometry });
    this.text.write(this.row === 0 ? feature : `,\n${feature}`);
    this.row++;
  }

  close(): number {
    this.text.write('\n]}\n');
    return this.text.close();
  }
}
