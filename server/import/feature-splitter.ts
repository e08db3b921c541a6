import { LONGEST_ROW_BYTES } from './raw-row.ts';

/** The text of one feature, or why it could not be cut out. */
export type Piece = { text: Buffer } | { broken: string };

export interface Splitter {
  /** Pieces that this chunk completes. */ push(chunk: Buffer): Piece[];
  /** What is left when the file ends. */ end(): Piece[];
}

const RECORD_SEPARATOR = 0x1e;
const NEWLINE = 0x0a;
const TOO_LONG = `longer than ${LONGEST_ROW_BYTES / 1_000_000} MB`;
const CUT_SHORT = 'cut short: the file ends inside it';
const STRAY_BRACE = 'a closing brace too many; what follows was not read';

/** Bytes of one piece that is spread over several chunks. */
class PieceBuffer {
  private parts: Buffer[] = [];
  private bytes = 0;
  private tooLong = false;

  add(part: Buffer): void {
    this.bytes += part.length;
    if (this.bytes > LONGEST_ROW_BYTES) {
      this.tooLong = true;
      this.parts = [];
    } else if (part.length > 0) this.parts.push(part);
  }

  /** Null when there is nothing but white space. */
  take(): Piece | null {
    const piece: Piece = this.tooLong ? { broken: TOO_LONG } : { text: Buffer.concat(this.parts) };
    this.clear();
    return 'text' in piece && isBlank(piece.text) ? null : piece;
  }

  clear(): void {
    this.parts = [];
    this.bytes = 0;
    this.tooLong = false;
  }
}

const isSpace = (byte: number): boolean => byte === 0x20 || (byte >= 0x09 && byte <= 0x0d) || byte === RECORD_SEPARATOR;
const isBlank = (text: Buffer): boolean => text.every(isSpace);

/** A GeoJSON text sequence: features set off by record separators (RFC 8142), or one to a line. */
export class SequenceSplitter implements Splitter {
  private readonly piece = new PieceBuffer();
  private readonly separator: number;

  constructor(form: 'record-separated' | 'line-by-line') {
    this.separator = form === 'record-separated' ? RECORD_SEPARATOR : NEWLINE;
  }

  push(chunk: Buffer): Piece[] {
    const pieces: Piece[] = [];
    let from = 0;
    for (let at = chunk.indexOf(this.separator); at >= 0; at = chunk.indexOf(this.separator, from)) {
      this.piece.add(chunk.subarray(from, at));
      const piece = this.piece.take();
      if (piece) pieces.push(piece);
      from = at + 1;
    }
    this.piece.add(chunk.subarray(from));
    return pieces;
  }

  end(): Piece[] {
    const piece = this.piece.take();
    return piece ? [piece] : [];
  }
}

const [QUOTE, BACKSLASH, COMMA, COLON] = [0x22, 0x5c, 0x2c, 0x3a];
const [OPEN_BRACE, CLOSE_BRACE, OPEN_BRACKET, CLOSE_BRACKET] = [0x7b, 0x7d, 0x5b, 0x5d];

/**
 * Cuts the features out of a FeatureCollection without holding the whole of it: the values between the commas of the
 * list called "features" of the outermost object. An outermost object without such a list is one piece itself.
 */
export class CollectionSplitter implements Splitter {
  private readonly piece = new PieceBuffer();
  private depth = 0;
  private inString = false;
  private escaped = false;
  private inFeatures = false;
  private sawFeatures = false;
  /** Text of the last string met at depth 1: a member's name if a colon follows. */
  private lastName = '';
  private namePending: number[] | null = null;
  private memberName = '';

  push(chunk: Buffer): Piece[] {
    const pieces: Piece[] = [];
    let from = 0;
    const takeTo = (end: number, next: number): Piece | null => {
      this.piece.add(chunk.subarray(from, end));
      from = next;
      return this.piece.take();
    };
    const emit = (piece: Piece | null) => {
      if (piece) pieces.push(piece);
    };
    for (let at = 0; at < chunk.length; at++) {
      const byte = chunk[at];
      if (this.inString) {
        this.inStringByte(byte);
      } else if (byte === QUOTE) {
        this.inString = true;
        if (this.depth === 1 && !this.sawFeatures) this.namePending = [];
      } else if (byte === OPEN_BRACE || byte === OPEN_BRACKET) {
        this.depth++;
        if (this.opensFeatures(byte)) takeTo(at, at + 1);
      } else if (byte === CLOSE_BRACE || byte === CLOSE_BRACKET) {
        if (this.inFeatures && this.depth === 2) {
          emit(takeTo(at, at + 1));
          this.inFeatures = false;
          if (byte === CLOSE_BRACE) emit({ broken: STRAY_BRACE });
        }
        if (this.depth > 0) this.depth--;
        if (this.depth === 0) {
          const outermost = takeTo(at + 1, at + 1);
          if (!this.sawFeatures) emit(outermost);
          this.beginOutermost();
        }
      } else if (byte === COMMA) {
        if (this.inFeatures && this.depth === 2) emit(takeTo(at, at + 1));
        if (this.depth === 1) this.memberName = '';
      } else if (byte === COLON && this.depth === 1) this.memberName = this.lastName;
    }
    this.piece.add(chunk.subarray(from));
    return pieces;
  }

  /** What is open when the file ends was cut short. */
  end(): Piece[] {
    const piece = this.piece.take();
    if (this.depth > 0 || this.inString) return [{ broken: CUT_SHORT }];
    return piece ? [piece] : [];
  }

  private opensFeatures(byte: number): boolean {
    if (this.depth !== 2 || byte !== OPEN_BRACKET || this.memberName !== 'features' || this.sawFeatures) return false;
    this.inFeatures = true;
    this.sawFeatures = true;
    return true;
  }

  private beginOutermost(): void {
    this.sawFeatures = false;
    this.memberName = '';
    this.lastName = '';
  }

  private inStringByte(byte: number): void {
    if (this.escaped) this.escaped = false;
    else if (byte === BACKSLASH) this.escaped = true;
    else if (byte === QUOTE) {
      this.inString = false;
      if (this.namePending) this.lastName = String.fromCharCode(...this.namePending);
      this.namePending = null;
      return;
    }
    if (this.namePending && this.namePending.length < 20) this.namePending.push(byte);
  }
}

/** How deep a GeoJSON feature may nest: a MultiLineString needs five levels, properties seldom more. */
const DEEPEST = 32;

/** Whether a text nests deeper than any feature needs; such a text is never parsed. */
export function nestsTooDeep(text: Buffer): boolean {
  let depth = 0;
  let inString = false;
  for (let at = 0; at < text.length; at++) {
    const byte = text[at];
    if (inString) {
      if (byte === BACKSLASH) at++;
      else if (byte === QUOTE) inString = false;
    } else if (byte === QUOTE) inString = true;
    else if (byte === OPEN_BRACE || byte === OPEN_BRACKET) {
      if (++depth > DEEPEST) return true;
    } else if (byte === CLOSE_BRACE || byte === CLOSE_BRACKET) depth--;
  }
  return false;
}
