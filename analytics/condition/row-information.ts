import { isOneIn } from '../numeric/one-in-many.ts';
import type { AftData, AftFit } from '../survival/aft.ts';
import type { ConditionData, ConditionFit } from './condition.ts';
import { prepareReadings } from './prepared-readings.ts';
import { MU, SealScore } from './seal-score.ts';
import { rowAges, ThresholdTerms } from './threshold-terms.ts';

/**
 * What each row of a fit tells of its own mean log life mu, at the fit: one entry for each row, weights left out. With
 * `oneIn` above 1 only so many rows are asked, picked evenly; the others tell nothing.
 */
export interface RowInformation {
  /** Slope of the row's log-likelihood in mu. */ readonly slope: Float64Array;
  /** Minus its curvature; may be below 0 where entry was late. */ readonly information: Float64Array;
}

/** Of rows of ages alone. */
export function ageInformation(
  data: AftData,
  fit: Pick<AftFit, 'family' | 'coefficients' | 'scale'>,
  oneIn = 1,
): RowInformation {
  return informationOf(data, fit, oneIn, () => null);
}

/** Of rows of ages and damaged shares, by a fit that uses them. */
export function conditionInformation(
  data: ConditionData,
  { life, growth, reading }: ConditionFit,
  oneIn = 1,
): RowInformation {
  if (!growth) return ageInformation(data, life, oneIn);
  const readings = prepareReadings(data, reading);
  const score = new SealScore(readings, life.family, new Float64Array(data.lower.length).fill(Number.NaN));
  const { exponent, readingSd, inspectorShift } = growth;
  score.turnTo({ sigma: life.scale, exponent, readingSd, shift: inspectorShift });
  return informationOf(data, life, oneIn, (i) => (readings.start[i] < readings.start[i + 1] ? score : null));
}

function informationOf(
  data: AftData,
  { family, coefficients, scale }: Pick<AftFit, 'family' | 'coefficients' | 'scale'>,
  oneIn: number,
  scoreOf: (row: number) => SealScore | null,
): RowInformation {
  const rows = data.lower.length;
  const width = data.names.length;
  const first = data.intercept ? 1 : 0;
  const ages = rowAges(data.entry, data.lower, data.upper);
  const terms = new ThresholdTerms(ages, family);
  const out = { slope: new Float64Array(rows), information: new Float64Array(rows) };
  for (let i = 0; i < rows; i++) {
    if (!isOneIn(oneIn, i)) continue;
    let mu = data.intercept ? coefficients[0] : 0;
    for (let j = 0; j < width; j++) mu += data.covariates[i * width + j] * coefficients[first + j];
    const score = scoreOf(i);
    if (score) {
      score.derivatives(i, mu, ages.lowerLog[i], ages.upperLog[i]);
      terms.out.fill(0);
      out.slope[i] = score.first[MU];
      out.information[i] = -score.second[0];
    } else terms.row(i, mu, scale);
    terms.addEntry(i, mu, scale);
    out.slope[i] += terms.out[1];
    out.information[i] -= terms.out[3];
  }
  return out;
}
