import { isUtf8 } from 'node:buffer';
import { open, stat } from 'node:fs/promises';
import { FileRefused, ImportCancelled } from './row-problem.ts';

export type Encoding = 'utf-8' | 'utf-16le' | 'utf-16be' | 'windows-1252';

export interface FileBytes {
  readonly path: string;
  readonly size: number;
  readonly encoding: Encoding;
  readonly notes: readonly string[];
}

const CHUNK_BYTES = 256 * 1024;

/** File signatures of what people drop by mistake, from the formats' own specifications. */
const SIGNATURES: readonly { bytes: readonly number[]; is: string; hint: string }[] = [
  { bytes: [0x50, 0x4b, 0x03, 0x04], is: 'a ZIP or spreadsheet file', hint: 'Unpack it, or save the sheet as CSV.' },
  { bytes: [0xd0, 0xcf, 0x11, 0xe0], is: 'an old spreadsheet or document', hint: 'Save the sheet as CSV.' },
  { bytes: [0x89, 0x50, 0x4e, 0x47], is: 'a PNG picture', hint: '' },
  { bytes: [0xff, 0xd8, 0xff], is: 'a JPEG picture', hint: '' },
  { bytes: [0x25, 0x50, 0x44, 0x46], is: 'a PDF document', hint: 'Ask for the data behind it.' },
  { bytes: [0x1f, 0x8b], is: 'a gzip file', hint: 'Unpack it first.' },
  { bytes: [0x53, 0x51, 0x4c, 0x69, 0x74, 0x65], is: 'a database (GeoPackage?)', hint: 'Export the layer as GeoJSON.' },
  { bytes: [0x66, 0x67, 0x62, 0x03], is: 'a FlatGeobuf file', hint: 'Export the layer as GeoJSON.' },
  { bytes: [0x00, 0x00, 0x27, 0x0a], is: 'a shapefile', hint: 'Export the layer as GeoJSON.' },
  { bytes: [0x50, 0x41, 0x52, 0x31], is: 'a Parquet file', hint: 'Export the table as CSV.' },
];

const refuse = (found: string, hint?: string) =>
  new FileRefused({ field: 'file', found, expected: 'text: GeoJSON or CSV', ...(hint ? { hint } : {}) });

/**
 * Looks through a whole file once: that it is text, and in which encoding.
 * @throws FileRefused when it is no file, is empty, or is not text
 */
export async function inspectBytes(path: string, cancelled: () => boolean): Promise<FileBytes> {
  const info = await stat(path).catch(() => {
    throw refuse('not there or not readable', 'Upload it again.');
  });
  if (!info.isFile()) throw refuse('a folder', 'Give the files inside it.');
  if (info.size === 0) throw refuse('empty');
  const utf8 = new Utf8Check();
  let head: Buffer | null = null;
  for await (const chunk of rawChunks(path, 0)) {
    if (cancelled()) throw new ImportCancelled();
    head ??= Buffer.from(chunk.subarray(0, 4096));
    utf8.push(chunk);
  }
  head ??= Buffer.alloc(0);
  const encoding = encodingOf(head, utf8.valid());
  refuseBinary(head, encoding);
  return { path, size: info.size, encoding, notes: encodingNotes(head, encoding) };
}

function encodingOf(head: Buffer, validUtf8: boolean): Encoding {
  if (head[0] === 0xff && head[1] === 0xfe) return 'utf-16le';
  if (head[0] === 0xfe && head[1] === 0xff) return 'utf-16be';
  return validUtf8 ? 'utf-8' : 'windows-1252';
}

function refuseBinary(head: Buffer, encoding: Encoding): void {
  const match = SIGNATURES.find(({ bytes }) => bytes.every((byte, i) => head[i] === byte));
  if (match) throw refuse(match.is, match.hint);
  if (encoding.startsWith('utf-16')) return;
  const isOddControl = (byte: number) => byte < 9 || (byte > 13 && byte < 30) || byte === 31;
  const odd = head.filter(isOddControl).length;
  if (odd > head.length * 0.02 + 1) throw refuse('not text', 'Save the table as CSV or the layer as GeoJSON.');
}

function encodingNotes(head: Buffer, encoding: Encoding): string[] {
  if (encoding === 'windows-1252')
    return ['The text is not UTF-8; it was read as Windows-1252. Check names with accents.'];
  if (encoding.startsWith('utf-16')) return ['The text is UTF-16; it was read as such.'];
  return head[0] === 0xef && head[1] === 0xbb && head[2] === 0xbf
    ? ['The file begins with a byte order mark; it was left out.']
    : [];
}

/** The file's text as UTF-8 bytes in pieces, without a byte order mark, from byte `start` on. */
export async function* utf8Chunks(file: FileBytes, start = 0): AsyncGenerator<Buffer> {
  const decoder = file.encoding === 'utf-8' ? null : new TextDecoder(file.encoding);
  let first = start === 0;
  for await (const chunk of rawChunks(file.path, start)) {
    const bytes = decoder ? Buffer.from(decoder.decode(chunk, { stream: true })) : chunk;
    yield first ? withoutMark(bytes) : bytes;
    first = false;
  }
}

const withoutMark = (bytes: Buffer): Buffer =>
  bytes[0] === 0xef && bytes[1] === 0xbb && bytes[2] === 0xbf ? bytes.subarray(3) : bytes;

async function* rawChunks(path: string, start: number): AsyncGenerator<Buffer> {
  const handle = await open(path, 'r');
  try {
    let position = start;
    for (;;) {
      const { bytesRead, buffer } = await handle.read(Buffer.allocUnsafe(CHUNK_BYTES), 0, CHUNK_BYTES, position);
      if (bytesRead === 0) return;
      position += bytesRead;
      yield buffer.subarray(0, bytesRead);
    }
  } finally {
    await handle.close();
  }
}

/** Whether bytes that come in pieces are valid UTF-8; a character may be cut between two pieces. */
class Utf8Check {
  private carried = Buffer.alloc(0);
  private soFar = true;

  push(chunk: Buffer): void {
    if (!this.soFar) return;
    const bytes = this.carried.length > 0 ? Buffer.concat([this.carried, chunk]) : chunk;
    const whole = bytes.length - unfinishedTail(bytes);
    this.soFar = isUtf8(bytes.subarray(0, whole));
    this.carried = Buffer.from(bytes.subarray(whole));
  }

  valid(): boolean {
    return this.soFar && this.carried.length === 0;
  }
}

/** Bytes at the end that begin a character without finishing it: 0 to 3. */
function unfinishedTail(bytes: Buffer): number {
  for (let back = 1; back <= Math.min(4, bytes.length); back++) {
    const byte = bytes[bytes.length - back];
    if (byte < 0x80) return 0;
    if (byte >= 0xc0) {
      const length = byte >= 0xf0 ? 4 : byte >= 0xe0 ? 3 : 2;
      return back < length ? back : 0;
    }
  }
  return 0;
}
