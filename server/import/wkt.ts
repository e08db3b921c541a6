import type { LineGeometry } from '../schemas/segment.ts';

const NUMBER = /[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d{1,3})?/y;

/** A geometry as a CSV cell holds it: GeoJSON text, or well-known text (OGC 06-103r4, ISO 19125-1). */
export type GeometryReading = { ok: true; geometry: unknown } | { ok: false; hint?: string };

export function readGeometryText(text: string): GeometryReading {
  if (text.startsWith('{')) return readJson(text);
  const match = /^(?:SRID=(\d+);)?\s*(MULTI)?LINESTRING\s*(?:Z|M|ZM)?\s*(EMPTY|\()/i.exec(text);
  if (!match) return { ok: false, hint: otherTypeHint(text) };
  if (match[1] !== undefined && match[1] !== '4326') {
    return { ok: false, hint: `SRID ${match[1]} is another reference system: write longitude and latitude (WGS 84).` };
  }
  const type = match[2] ? 'MultiLineString' : 'LineString';
  if (match[3].toUpperCase() === 'EMPTY') return { ok: true, geometry: { type, coordinates: [] } };
  const reader = new WktReader(text, match[0].length - 1);
  const coordinates = type === 'LineString' ? reader.positions() : reader.lists();
  if (!coordinates || !reader.atEnd()) return { ok: false, hint: 'Brackets or numbers do not match up.' };
  return { ok: true, geometry: { type, coordinates } };
}

function readJson(text: string): GeometryReading {
  try {
    return { ok: true, geometry: JSON.parse(text) as unknown };
  } catch {
    return { ok: false };
  }
}

const otherTypeHint = (text: string): string | undefined =>
  /^\s*(MULTI)?(POINT|POLYGON)|^\s*GEOMETRYCOLLECTION/i.test(text) ? 'A joint segment is a line.' : undefined;

class WktReader {
  private readonly text: string;
  private at: number;

  constructor(text: string, at: number) {
    this.text = text;
    this.at = at;
  }

  atEnd(): boolean {
    return this.text.slice(this.at).trim() === '';
  }

  lists(): number[][][] | null {
    return this.bracketed(() => this.positions());
  }

  positions(): number[][] | null {
    return this.bracketed(() => this.position());
  }

  private bracketed<T>(item: () => T | null): T[] | null {
    const items: T[] = [];
    if (!this.take('(')) return null;
    do {
      const next = item();
      if (next === null) return null;
      items.push(next);
    } while (this.take(','));
    return this.take(')') ? items : null;
  }

  private position(): number[] | null {
    const numbers: number[] = [];
    for (;;) {
      this.skipSpace();
      NUMBER.lastIndex = this.at;
      const match = NUMBER.exec(this.text);
      if (!match) break;
      numbers.push(Number(match[0]));
      this.at = NUMBER.lastIndex;
    }
    return numbers.length >= 2 ? numbers : null;
  }

  private take(mark: string): boolean {
    this.skipSpace();
    if (this.text[this.at] !== mark) return false;
    this.at++;
    return true;
  }

  private skipSpace(): void {
    while (this.at < this.text.length && ' \t\r\n'.includes(this.text[this.at])) this.at++;
  }
}

/** A line as well-known text. Numbers keep every digit, so reading it back gives the same positions. */
export function toWkt(geometry: LineGeometry): string {
  const line = (positions: readonly (readonly number[])[]) => `(${positions.map((p) => p.join(' ')).join(', ')})`;
  return geometry.type === 'LineString'
    ? `LINESTRING ${hasZ(geometry.coordinates)}${line(geometry.coordinates)}`
    : `MULTILINESTRING ${hasZ(geometry.coordinates.flat())}(${geometry.coordinates.map(line).join(', ')})`;
}

const hasZ = (positions: readonly (readonly number[])[]): string => (positions.some((p) => p.length > 2) ? 'Z ' : '');
