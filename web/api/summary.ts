import type { Filter } from '../../server/schemas/filter.ts';
import type { Summary } from '../../server/schemas/forecast.ts';
import { apiUrl, requestJson } from './request.ts';

export interface Version {
  readonly app: string;
  readonly dataVersion: number;
  readonly modelVersion: number | null;
  /** Changes whenever anything drawn on the map may have changed. */ readonly viewVersion: string | number;
}

/** west, south, east, north in degrees. */
export type Bounds = readonly [number, number, number, number];

export const fetchSummary = (filter: Filter, signal?: AbortSignal) =>
  requestJson<Summary>('/summary', { query: { ...filter }, signal });

export const fetchVersion = (signal?: AbortSignal) => requestJson<Version>('/version', { signal });

export const fetchBounds = (signal?: AbortSignal) => requestJson<Bounds | null>('/bounds', { signal });

/** Template address of the vector tiles; absolute, since tiles are asked for from a worker. */
export const tileUrl = (origin: string, filter: Filter, viewVersion: string | number): string =>
  `${origin}${apiUrl('/tiles/{z}/{x}/{y}.mvt', { ...filter, v: viewVersion })}`;
