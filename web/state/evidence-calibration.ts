import type { CalibrationRow, Coverage, GroupForecast, MethodReport } from '../../server/schemas/evidence-backtest.ts';
import { tenthLabel } from './evidence-words.ts';
import { formatDay } from './format.ts';
import { CLIMATE_ZONE_LABELS, labelOf, SEALANT_CLASS_LABELS } from './words.ts';

/** What looks are grouped by. */
export const CALIBRATION_GROUPS = ['tenth', 'class', 'district', 'zone', 'cutoff'] as const;
export type CalibrationBy = (typeof CALIBRATION_GROUPS)[number];
export const CALIBRATION_BY_LABELS: Readonly<Record<CalibrationBy, string>> = {
  tenth: 'Forecast chance',
  class: 'Sealant class',
  district: 'District',
  zone: 'Climate zone',
  cutoff: 'Cut-off date',
};
/** A look counts as one, or as the length of its segment. */
export type CountedBy = 'looks' | 'length';

/** Forecast share failing and share found of one group of looks. Shares 0-1. */
export interface FoundRow {
  readonly label: string;
  readonly forecast: number;
  readonly found: number;
  /** Where the found share lies with 80 % if the forecast is right. */ readonly lower: number;
  readonly upper: number;
  readonly trials: number;
  /** Looks, or metres, found failed. */ readonly foundAmount: number;
  readonly expectedAmount: number;
  readonly totalAmount: number;
}

/** The rows of one method, grouped and counted as asked, in the server's order. */
export function calibrationRows(method: MethodReport, by: CalibrationBy, counted: CountedBy): FoundRow[] {
  const told = counted === 'looks' ? inLooks : inLength;
  return rowsBy(method, by).map((row) => told(row, LABELS[by](row.label)));
}

/** True when the found share lies outside where the forecast says that it lies four times in five. */
export const isOutside = ({ found, lower, upper }: Pick<FoundRow, 'found' | 'lower' | 'upper'>): boolean =>
  found < lower - 1e-9 || found > upper + 1e-9;

function rowsBy(method: MethodReport, by: CalibrationBy): readonly (CalibrationRow | GroupForecast)[] {
  if (by === 'tenth') return method.tenths;
  if (by === 'class') return method.byClass;
  if (by === 'district') return method.byDistrict;
  return by === 'zone' ? method.byZone : method.byCutoff;
}

const LABELS: Readonly<Record<CalibrationBy, (label: string) => string>> = {
  tenth: tenthLabel,
  class: (label) => labelOf(SEALANT_CLASS_LABELS, label),
  district: (label) => label,
  zone: (label) => labelOf(CLIMATE_ZONE_LABELS, label),
  cutoff: formatDay,
};

function inLooks(row: CalibrationRow | GroupForecast, label: string): FoundRow {
  const { lower, upper } = 'within80' in row ? shareOf(row.within80, row.trials) : row.chanceRange;
  return {
    ...{ label, lower, upper, trials: row.trials, forecast: row.forecastShare, found: row.foundShare },
    ...{ foundAmount: row.found, expectedAmount: row.expected, totalAmount: row.trials },
  };
}

function inLength(row: CalibrationRow | GroupForecast, label: string): FoundRow {
  const { lower, upper } = 'lengthWithin80M' in row ? shareOf(row.lengthWithin80M, row.lengthM) : row.lengthChanceRange;
  return {
    ...{ label, lower, upper, trials: row.trials, forecast: row.forecastLengthShare, found: row.foundLengthShare },
    ...{ foundAmount: row.foundLengthM, expectedAmount: row.expectedLengthM, totalAmount: row.lengthM },
  };
}

const shareOf = ({ lower, upper }: { lower: number; upper: number }, whole: number) =>
  whole > 0 ? { lower: lower / whole, upper: upper / whole } : { lower: 0, upper: 1 };

/** One set of forecast intervals whose coverage was counted. */
export interface CoverageRow extends Coverage {
  readonly what: 'failures in a group' | 'length in a group' | 'single lives';
}

/** Coverage of all kinds in one list: numbers in a district, class and year, their lengths, and single lives. */
export function coverageRows(
  cells: { readonly counts: readonly Coverage[]; readonly lengths: readonly Coverage[] | null } | null,
  lives: readonly Coverage[],
): CoverageRow[] {
  const as = (rows: readonly Coverage[], what: CoverageRow['what']) =>
    rows.map((row) => ({ ...row, label: coverageLabel(row.label), what }));
  return [
    ...as(cells?.counts ?? [], 'failures in a group'),
    ...as(cells?.lengths ?? [], 'length in a group'),
    ...as(lives, 'single lives'),
  ];
}

const coverageLabel = (label: string): string => (label === 'all' ? 'All' : labelOf(SEALANT_CLASS_LABELS, label));
