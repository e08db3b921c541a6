import type { Unit } from '../schemas/load.ts';

/** What is measured. Each dimension is stored in its first unit. */
export type Dimension = 'size' | 'distance' | 'temperature' | 'daily-temperature' | 'precipitation' | 'share' | 'price';

interface DimensionUnits {
  /** Stored unit first. */ readonly units: readonly Unit[];
  /** How the stored unit reads after a number. */ readonly label: string;
}

const DIMENSIONS: Record<Dimension, DimensionUnits> = {
  size: { units: ['mm', 'in', 'cm'], label: 'mm' },
  distance: { units: ['m', 'ft', 'km', 'mi'], label: 'm' },
  temperature: { units: ['C', 'F'], label: '°C' },
  'daily-temperature': { units: ['C', 'F', 'tenths-C'], label: '°C' },
  precipitation: { units: ['mm', 'in', 'tenths-mm'], label: 'mm' },
  share: { units: ['share', 'percent'], label: '' },
  price: { units: ['m', 'ft'], label: 'per m' },
};

/** Units in words, for questions to the user. */
const UNIT_WORDS: Record<Unit, string> = {
  mm: 'millimetres',
  cm: 'centimetres',
  m: 'metres',
  km: 'kilometres',
  in: 'inches',
  ft: 'feet',
  mi: 'miles',
  C: 'degrees Celsius',
  F: 'degrees Fahrenheit',
  share: 'shares of 1',
  percent: 'per cent',
  'tenths-C': 'tenths of a degree Celsius',
  'tenths-mm': 'tenths of a millimetre',
};

const FACTORS: Partial<Record<Unit, number>> = {
  cm: 10,
  in: 25.4,
  ft: 0.3048,
  km: 1000,
  mi: 1609.344,
  percent: 0.01,
  'tenths-C': 0.1,
  'tenths-mm': 0.1,
};

/** Endings by which a column's name says its unit, as `normaliseName` leaves them. */
const UNIT_ENDINGS: Record<Unit, readonly string[]> = {
  mm: ['mm', 'millimetre', 'millimetres', 'millimeter', 'millimeters'],
  cm: ['cm', 'centimetre', 'centimetres', 'centimeter', 'centimeters'],
  m: ['m', 'metre', 'metres', 'meter', 'meters'],
  km: ['km', 'kilometre', 'kilometres', 'kilometer', 'kilometers'],
  in: ['in', 'inch', 'inches'],
  ft: ['ft', 'foot', 'feet'],
  mi: ['mi', 'mile', 'miles'],
  C: ['c', 'degc', 'celsius'],
  F: ['f', 'degf', 'fahrenheit'],
  share: ['share', 'fraction', 'proportion'],
  percent: ['percent', 'percentage', 'pct'],
  'tenths-C': ['tenthsc', 'tenthsofc', 'tenthsdegc'],
  'tenths-mm': ['tenthsmm', 'tenthsofmm'],
};

export const unitsOf = (dimension: Dimension): readonly Unit[] => DIMENSIONS[dimension].units;
export const storedUnit = (dimension: Dimension): Unit => DIMENSIONS[dimension].units[0];
export const unitLabel = (dimension: Dimension): string => DIMENSIONS[dimension].label;
export const unitWords = (unit: Unit): string => UNIT_WORDS[unit];
export const unitEndings = (unit: Unit): readonly string[] => UNIT_ENDINGS[unit];

/** Decimals kept after a conversion: enough for any measurement, and free of binary tails such as 12.700000000000001. */
const KEPT = 1e6;

/** A file's number in the stored unit of its dimension. Inch, foot and mile are the international ones (1959). */
export function toStored(value: number, unit: Unit, dimension: Dimension): number {
  if (unit === storedUnit(dimension)) return value;
  if (unit === 'F') return Math.round(((value - 32) / 1.8) * KEPT) / KEPT;
  const factor = FACTORS[unit] ?? 1;
  return Math.round((dimension === 'price' ? value / factor : value * factor) * KEPT) / KEPT;
}
