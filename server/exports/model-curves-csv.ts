import type { ModelReport } from '../schemas/model.ts';
import { csvText } from './csv-text.ts';
import { rounded } from './units.ts';

/** The life curve of each class with its 80 % band: share still sound at each age. */
export function modelCurvesCsv(report: ModelReport): string {
  const lines = report.classes.flatMap(({ sealantClass, observations, failures, curve }) =>
    curve.years.map((ageYears, i) => [
      sealantClass,
      rounded(ageYears, 3),
      rounded(curve.survival[i], 6),
      rounded(curve.lower[i], 6),
      rounded(curve.upper[i], 6),
      observations,
      failures,
      report.version,
    ]),
  );
  const header = [
    'sealantClass',
    'ageYears',
    'soundShare',
    'lower10',
    'upper90',
    'observations',
    'failures',
    'modelVersion',
  ];
  return csvText([header, ...lines]);
}
