import type { Settings } from '../server/schemas/settings.ts';
import { dayOf } from './days.ts';

export const AGENCY_NAME = 'Three Climates Transport Authority (invented)';

/** The files to load, out of all that the generator writes. */
export const DEMO_FILES = [
  'facilities.csv',
  'segments.geojson',
  'seals.csv',
  'inspections.csv',
  'stations.csv',
  'climate.csv',
  'unit-costs.csv',
] as const;

/** Last day of the records, and of the weather. */
export const LAST_DAY = dayOf(2026, 6, 30);

/** Settings that go with the demo records; the rest keep their defaults. */
export const DEMO_SETTINGS = {
  agencyName: AGENCY_NAME,
  agencyInvented: true,
  currency: 'USD',
  planningDate: '2026-07-01',
} as const satisfies Partial<Settings>;

/** A district of the agency. Local metres are measured east and north of its centre. */
export interface District {
  readonly name: string;
  readonly lon: number;
  readonly lat: number;
}

/** The districts lie over real ground so that a map looks right; agency, names and routes are invented. */
export const NORTH_MORAINE: District = { name: 'North Moraine District', lon: -95.5, lat: 44.1 };
export const DRY_PLAINS: District = { name: 'Dry Plains District', lon: -101.3, lat: 36.3 };
export const COAST: District = { name: 'Coast District', lon: -94.1, lat: 31.2 };
export const DISTRICTS: readonly District[] = [NORTH_MORAINE, DRY_PLAINS, COAST];
