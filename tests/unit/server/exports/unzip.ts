import { inflateRawSync } from 'node:zlib';

/** Files of a zip archive by name, for looking into workbooks (APPNOTE.TXT of PKWARE; stored or deflated). */
export function unzip(zip: Buffer): Map<string, Buffer> {
  const files = new Map<string, Buffer>();
  const end = zip.length - 22;
  let at = zip.readUInt32LE(end + 16);
  for (let i = 0; i < zip.readUInt16LE(end + 10); i++) {
    const [nameLength, extraLength, commentLength] = [28, 30, 32].map((place) => zip.readUInt16LE(at + place));
    const name = zip.toString('utf8', at + 46, at + 46 + nameLength);
    const file = zip.readUInt32LE(at + 42);
    const from = file + 30 + zip.readUInt16LE(file + 26) + zip.readUInt16LE(file + 28);
    const bytes = zip.subarray(from, from + zip.readUInt32LE(at + 20));
    files.set(name, zip.readUInt16LE(at + 10) === 8 ? inflateRawSync(bytes) : Buffer.from(bytes));
    at += 46 + nameLength + extraLength + commentLength;
  }
  return files;
}

const TEXT = /<t[^>]*>([^<]*)<\/t>/g;
const CELL = /<c r="([A-Z]+)(\d+)"([^>]*?)(?:\/>|>(?:<v>([^<]*)<\/v>|<is>(.*?)<\/is>)<\/c>)/g;

/** Values of a sheet by row, numbers as numbers; empty cells are left out. */
export function sheetRows(files: ReadonlyMap<string, Buffer>, sheet: number): Map<string, string | number>[] {
  const shared = [...(files.get('xl/sharedStrings.xml')?.toString('utf8') ?? '').matchAll(TEXT)].map(([, text]) =>
    unescaped(text),
  );
  const rows: Map<string, string | number>[] = [];
  for (const [, column, row, attributes, value] of files
    .get(`xl/worksheets/sheet${sheet}.xml`)
    ?.toString('utf8')
    .matchAll(CELL) ?? []) {
    rows[Number(row) - 1] ??= new Map();
    if (value === undefined) continue;
    rows[Number(row) - 1].set(column, attributes.includes('t="s"') ? shared[Number(value)] : Number(value));
  }
  return rows;
}

const unescaped = (text: string): string =>
  text
    .replaceAll('&lt;', '<')
    .replaceAll('&gt;', '>')
    .replaceAll('&quot;', '"')
    .replaceAll('&apos;', "'")
    .replaceAll('&#39;', "'")
    .replaceAll('&amp;', '&');
