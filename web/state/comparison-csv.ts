import type { Interval } from '../../server/schemas/common.ts';
import type { ComparisonRow } from '../../server/schemas/models.ts';
import type { CsvCell } from './evidence-csv.ts';

const ends = (interval: Interval | null): CsvCell[] =>
  interval === null ? [null, null, null] : [interval.median, interval.lower, interval.upper];

const HEAD: readonly string[] = [
  'model',
  'family',
  'failureThresholdShare',
  'leftOut',
  'present',
  'observations',
  'failures',
  'parameters',
  'logLikelihood',
  'aic',
  'aicDifference',
  'aicc',
  'bic',
  'backTestLogScore',
  'backTestTrials',
  'medianLifeYears',
  'medianLifeYears10',
  'medianLifeYears90',
  'tenPercentLifeYears',
  'tenPercentLifeYears10',
  'tenPercentLifeYears90',
  'comparable',
  'status',
];

/** The compared models as rows of a file, with their units in the head. A measure that is not there is left empty. */
export const comparisonCsv = (rows: readonly ComparisonRow[]): CsvCell[][] => [
  [...HEAD],
  ...rows.map((row) => [
    row.label,
    row.family,
    row.failureThresholdShare,
    row.leftOut.map(({ name }) => name).join(' '),
    String(row.current),
    row.observations,
    row.failures,
    row.parameters,
    row.logLikelihood,
    row.aic,
    row.aicDifference,
    row.aicc,
    row.bic,
    row.backTestLogScore,
    row.backTestTrials,
    ...ends(row.medianLifeYears),
    ...ends(row.tenPercentLifeYears),
    String(row.comparable),
    row.status,
  ]),
];
