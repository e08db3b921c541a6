import type { EvidenceExport, EvidenceReport } from '../schemas/evidence.ts';
import type { CalibrationRow } from '../schemas/evidence-backtest.ts';
import type { ObservedExpected } from '../schemas/evidence-diagnostics.ts';
import type { LevelEffect, OddGrouping } from '../schemas/evidence-odd.ts';
import { type Cell, csvText } from './csv-text.ts';
import { rounded } from './units.ts';

/** One table of the evidence; a part that could not be made leaves its header alone. */
export function evidenceCsv(report: EvidenceReport, part: EvidenceExport): string {
  const { header, lines } = TABLES[part](report);
  return csvText([[...header, 'modelVersion'], ...lines.map((line) => [...line, report.modelVersion])]);
}

interface Table {
  readonly header: readonly string[];
  readonly lines: readonly (readonly Cell[])[];
}

const TABLES: Readonly<Record<EvidenceExport, (report: EvidenceReport) => Table>> = {
  calibration,
  'observed-expected': observedExpected,
  'probability-plot': probabilityPlot,
  odd,
};

const six = (value: number | null): number | null => (value === null ? null : rounded(value, 6));

function calibration({ backtest }: EvidenceReport): Table {
  const header = [
    ...['method', 'group', 'label', 'looks', 'found', 'expected', 'foundShare', 'forecastShare'],
    ...['chanceLower10', 'chanceUpper90', 'lengthM', 'foundLengthM', 'expectedLengthM'],
  ];
  const line = (method: string, group: string, row: CalibrationRow): Cell[] => [
    ...[method, group, row.label, row.trials, row.found],
    ...[row.expected, row.foundShare, row.forecastShare, row.chanceRange.lower, row.chanceRange.upper].map(six),
    ...[row.lengthM, row.foundLengthM, row.expectedLengthM].map((lengthM) => rounded(lengthM, 1)),
  ];
  const methods = backtest ? [backtest.model, ...backtest.others] : [];
  const lines = methods.flatMap(({ name, tenths, total, byCutoff, byClass, byDistrict, byZone }) =>
    Object.entries({ tenth: tenths, all: total ? [total] : [], cutoff: byCutoff, class: byClass })
      .concat(Object.entries({ district: byDistrict, 'climate zone': byZone }))
      .flatMap(([group, rows]) => rows.map((row) => line(name, group, row))),
  );
  return { header, lines };
}

function observedExpected({ diagnostics }: EvidenceReport): Table {
  const header = ['group', 'label', 'inspectionIntervals', 'observed', 'expected', 'ratio', 'lower10', 'upper90'];
  const line = (group: string, { label, trials, observed, expected, ratio, interval }: ObservedExpected): Cell[] => [
    ...[group, label, trials, observed],
    ...[expected, ratio, interval?.lower ?? null, interval?.upper ?? null].map(six),
  ];
  const found = diagnostics?.observedExpected;
  if (!found) return { header, lines: [] };
  const groups = { all: [found.overall], tenth: found.byDecile, age: found.byAge, class: found.byClass };
  const lines = Object.entries({ ...groups, 'climate zone': found.byZone }).flatMap(([group, rows]) =>
    rows.map((row) => line(group, row)),
  );
  return { header, lines };
}

function probabilityPlot({ diagnostics }: EvidenceReport): Table {
  const header = [
    'sealantClass',
    'what',
    'failedShare',
    'quantile',
    'fromYears',
    'toYears',
    'lowerYears',
    'upperYears',
  ];
  const lines = (diagnostics?.probabilityPlots ?? []).flatMap(({ sealantClass, boxes, line }) => [
    ...boxes.map(({ failedAfter, quantileAfter, fromYears, toYears }): Cell[] => [
      ...[sealantClass, 'records', ...[failedAfter, quantileAfter, fromYears, toYears].map(six), null, null],
    ]),
    ...line.map(({ failed, quantile, ageYears, lowerYears, upperYears }): Cell[] => [
      ...[sealantClass, 'fit', ...[failed, quantile, ageYears, ageYears, lowerYears, upperYears].map(six)],
    ]),
  ]);
  return { header, lines };
}

function odd({ odd: { groupings, early, influential, contradictory } }: EvidenceReport): Table {
  const header = [
    ...['list', 'name', 'segmentId', 'sealId', 'seals', 'failures', 'expectedFailures', 'lifeRatio', 'lower10'],
    ...['upper90', 'flagged', 'sentence'],
  ];
  const lines = [
    ...groupings.flatMap(levelLines),
    ...Object.entries({ 'early failure': early, influential, contradictory }).flatMap(([list, found]) =>
      (found?.seals ?? []).map(({ segmentId, sealId, sealantClass, sentence }): Cell[] => [
        ...[list, sealantClass, segmentId, sealId, null, null, null, null, null, null, true, sentence],
      ]),
    ),
  ];
  return { header, lines };
}

/** Every level once: those named first, then the rest of the list. */
function levelLines({ name, odd: named, levels }: OddGrouping): Cell[][] {
  const flagged = new Set(named.map(({ level }) => level));
  const line = (level: LevelEffect, isNamed: boolean): Cell[] => [
    ...[name, level.level, null, null, level.seals, level.failures],
    ...[level.expectedFailures, level.lifeRatio, level.lifeRatioLower, level.lifeRatioUpper].map(six),
    ...[isNamed, level.sentence],
  ];
  return [
    ...named.map((level) => line(level, true)),
    ...levels.filter(({ level }) => !flagged.has(level)).map((level) => line(level, false)),
  ];
}
