import { type SealantFamily, sealantFamily } from './sealant-family.ts';
import type { ResealTreatment, WorkOperation } from './work-operations.ts';

/** What one machine with its workers gets done in an hour. */
export interface OperationRate {
  /** Metres of joint an hour, above 0. */ readonly metresPerHour: number;
  /** Usual least and most. */ readonly bracket: readonly [number, number];
  /** People with one machine. */ readonly workers: number;
  /** `same machines on cracks`: read for crack work on asphalt with the same machines, a bracket only. */
  readonly mark: 'same machines on cracks' | 'common practice';
  readonly source: string;
}

const TABLE_8 = 'FHWA-RD-99-147 table 8, crack work on asphalt with the same machines; the middle is the default';
const PRACTICE = 'common practice, no source; put your own in its place';

/** Rate from a printed bracket in metres a minute. */
const printed = (low: number, high: number, workers: number): OperationRate => ({
  metresPerHour: 30 * (low + high),
  bracket: [60 * low, 60 * high],
  workers,
  mark: 'same machines on cracks',
  source: TABLE_8,
});
const assumed = (low: number, high: number, workers: number): OperationRate => ({
  metresPerHour: (low + high) / 2,
  bracket: [low, high],
  workers,
  mark: 'common practice',
  source: PRACTICE,
});

export type RateKey =
  | `remove-old-seal/${'silicone' | 'poured' | 'preformed'}`
  | `seal/${'silicone' | 'hot-applied' | 'cold-poured' | 'preformed'}`
  | Exclude<WorkOperation, 'remove-old-seal' | 'seal'>;
export type OperationRates = Readonly<Record<RateKey, OperationRate>>;

/** Defaults, all to be edited. The abrasive blast is one machine doing both faces, two passes. */
export const OPERATION_RATES: OperationRates = {
  'remove-old-seal/poured': assumed(80, 160, 2),
  'remove-old-seal/silicone': assumed(60, 120, 2),
  'remove-old-seal/preformed': assumed(100, 200, 2),
  'saw-faces': printed(1, 2.5, 2),
  wash: assumed(200, 400, 1),
  'abrasive-blast': printed(1, 1.5, 3),
  'blow-out': printed(3, 4.5, 1),
  'place-rod': printed(2.5, 4.5, 2),
  'seal/silicone': printed(1.5, 3.5, 2),
  'seal/hot-applied': printed(4.5, 8, 2),
  'seal/cold-poured': assumed(90, 210, 2),
  'seal/preformed': assumed(40, 80, 3),
  inspect: assumed(200, 400, 1),
};

const REMOVAL_KEY: Readonly<Record<SealantFamily, RateKey>> = {
  silicone: 'remove-old-seal/silicone',
  'hot-applied': 'remove-old-seal/poured',
  'cold-poured': 'remove-old-seal/poured',
  preformed: 'remove-old-seal/preformed',
  unknown: 'remove-old-seal/poured',
  none: 'remove-old-seal/poured',
};
const SEALING_KEY: Readonly<Record<SealantFamily, RateKey>> = {
  silicone: 'seal/silicone',
  'hot-applied': 'seal/hot-applied',
  'cold-poured': 'seal/cold-poured',
  preformed: 'seal/preformed',
  unknown: 'seal/cold-poured',
  none: 'seal/cold-poured',
};

/** Which rate an operation has where the seal that is there and the one to be made are of these classes. */
export function rateKey(operation: WorkOperation, { oldClass, newClass }: ResealTreatment): RateKey {
  if (operation === 'remove-old-seal') return REMOVAL_KEY[sealantFamily(oldClass)];
  if (operation === 'seal') return SEALING_KEY[sealantFamily(newClass)];
  return operation;
}
