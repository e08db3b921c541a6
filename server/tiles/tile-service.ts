import { createHash } from 'node:crypto';
import { promisify } from 'node:util';
import { gzip } from 'node:zlib';
import type { Filter } from '../schemas/filter.ts';
import type { Store } from '../store/store.ts';
import { encodeRuns, encodeSegments } from './encode-tile.ts';
import { SEGMENT_ZOOM, type TileAddress, tileBox } from './tile-grid.ts';

const compress = promisify(gzip);

/** More lines than this in one tile are drawn as runs instead: nothing is dropped, and no tile is unbounded. */
const SEGMENTS_PER_TILE = 25_000;

export interface Tile {
  /** Gzip; empty when nothing is there. */ readonly body: Buffer;
  /** Strong entity tag, with its quotes: changes only when the bytes do. */ readonly etag: string;
}

/** A program whose work is shown on the tiles. */
export interface ShownProgram {
  readonly scenarioId: string;
  /** Changes with each program written; null: none yet. */ readonly version: number | null;
}

/**
 * Makes map tiles from the store and keeps the newest ones. Any change of records or forecast empties the cache; tiles of a
 * program that was replaced are not asked for again, and go as the oldest.
 */
export class TileService {
  readonly #store: Store;
  readonly #byteLimit: number;
  readonly #tiles = new Map<string, Promise<Tile>>();
  #version = '';
  #bytes = 0;

  constructor(store: Store, byteLimit = 64 * 2 ** 20) {
    this.#store = store;
    this.#byteLimit = byteLimit;
  }

  /** Requests for the same tile at the same time share one making. */
  async tile(address: TileAddress, filter: Filter, program: ShownProgram | null = null): Promise<Tile> {
    const version = await this.#store.viewVersion();
    if (version !== this.#version) this.empty(version);
    const shown = program?.version ? ` ${program.scenarioId} ${program.version}` : '';
    const key = `${address.z}/${address.x}/${address.y}?${filterKey(filter)}${shown}`;
    const kept = this.#tiles.get(key);
    if (kept) {
      this.#tiles.delete(key); // put back as the newest: the oldest is dropped first
      this.#tiles.set(key, kept);
      return kept;
    }
    const making = this.#make(address, filter, program?.scenarioId);
    this.#tiles.set(key, making);
    making.then(
      (tile) => this.#account(tile.body.length, version),
      () => this.#tiles.delete(key),
    );
    return making;
  }

  empty(version = ''): void {
    this.#tiles.clear();
    this.#bytes = 0;
    this.#version = version;
  }

  async #make(address: TileAddress, filter: Filter, scenarioId: string | undefined): Promise<Tile> {
    const raw = await this.#encode(address, filter, scenarioId);
    const body = raw.length === 0 ? Buffer.alloc(0) : await compress(raw, { level: 1 });
    return { body, etag: `"${createHash('sha1').update(raw).digest('base64url')}"` };
  }

  async #encode(address: TileAddress, filter: Filter, scenarioId: string | undefined): Promise<Uint8Array> {
    const box = tileBox(address);
    if (address.z >= SEGMENT_ZOOM) {
      const segments = await this.#store.segmentsInBox(box, filter, SEGMENTS_PER_TILE + 1, scenarioId);
      if (segments.length <= SEGMENTS_PER_TILE) return encodeSegments(address, segments);
    }
    const zoom = Math.min(address.z, SEGMENT_ZOOM - 1);
    return encodeRuns(address, await this.#store.runsInBox(zoom, box, filter, scenarioId));
  }

  async #account(bytes: number, version: string): Promise<void> {
    if (version !== this.#version) return;
    this.#bytes += bytes + 200;
    for (const [key, tile] of this.#tiles) {
      if (this.#bytes <= this.#byteLimit) break;
      this.#tiles.delete(key);
      this.#bytes -= (await tile).body.length + 200;
    }
  }
}

/** The same filter gives the same key, whatever the order of its members. */
export const filterKey = (filter: Filter): string =>
  Object.entries(filter)
    .filter(([, value]) => value !== undefined && value !== '')
    .sort(([a], [b]) => (a < b ? -1 : 1))
    .map(([name, value]) => `${name}=${encodeURIComponent(String(value))}`)
    .join('&');
