import { isOneIn } from '../numeric/one-in-many.ts';
import type { AftData, AftFit } from '../survival/aft.ts';
import { standardCumulativeHazard } from '../survival/families.ts';

/** Cumulative hazard that rows gathered in each calendar year by a fit, in compressed sparse rows. */
export interface YearHazards {
  readonly firstYear: number;
  readonly years: number;
  /** By calendar year: what was gathered while known sound, over all rows. */ readonly sound: Float64Array;
  /** Rows that failed within known bounds: row k has the entries from start[k] up to start[k + 1]. */
  readonly start: Int32Array;
  /** Of each entry: the calendar year, from 0, and the hazard gathered in it between the bounds. */ readonly year: Int32Array;
  readonly hazard: Float64Array;
  readonly weight: Float64Array;
}

/**
 * Cuts what each row gathered at the ends of calendar years.
 * @param installed decimal year of each row's installation; NaN: not known well enough, and the row is left out
 * @param effect on each row's mean log life, besides the covariates @param oneIn takes only about one row in so many
 */
export function yearHazards(
  data: AftData,
  { family, coefficients, scale }: Pick<AftFit, 'family' | 'coefficients' | 'scale'>,
  { installed, effect, oneIn = 1 }: { installed: Float64Array; effect: Float64Array; oneIn?: number },
): YearHazards {
  const rows = [...data.lower.keys()].filter((i) => isOneIn(oneIn, i) && !Number.isNaN(installed[i]));
  const lastAge = (i: number): number => (data.upper[i] < Infinity ? data.upper[i] : data.lower[i]);
  const firstYear = rows.reduce((least, i) => Math.min(least, Math.floor(installed[i] + data.entry[i])), Infinity);
  const lastYear = rows.reduce((most, i) => Math.max(most, Math.floor(installed[i] + lastAge(i))), -Infinity);
  const years = rows.length === 0 ? 0 : lastYear - firstYear + 1;
  const sound = new Float64Array(years);
  const failed = { start: [0], year: [] as number[], hazard: [] as number[], weight: [] as number[] };
  const width = data.names.length;
  for (const i of rows) {
    let mu = effect[i];
    for (let j = 0; j < width; j++) mu += data.covariates[i * width + j] * coefficients[j];
    const gathered = (age: number): number =>
      age > 0 ? standardCumulativeHazard(family, (Math.log(age) - mu) / scale) : 0;
    const cut = (from: number, to: number, visit: (year: number, hazard: number) => void): void => {
      let before = gathered(from);
      for (let age = from; age < to; ) {
        const year = Math.floor(installed[i] + age + 1e-9);
        age = Math.min(to, year + 1 - installed[i]);
        const after = gathered(age);
        visit(Math.min(years - 1, year - firstYear), after - before);
        before = after;
      }
    };
    cut(data.entry[i], data.lower[i], (year, hazard) => {
      sound[year] += data.weight[i] * hazard;
    });
    if (data.upper[i] === Infinity) continue;
    cut(data.lower[i], data.upper[i], (year, hazard) => {
      failed.year.push(year);
      failed.hazard.push(hazard);
    });
    failed.start.push(failed.year.length);
    failed.weight.push(data.weight[i]);
  }
  return {
    ...{ firstYear: years === 0 ? 0 : firstYear, years, sound },
    start: Int32Array.from(failed.start),
    year: Int32Array.from(failed.year),
    hazard: Float64Array.from(failed.hazard),
    weight: Float64Array.from(failed.weight),
  };
}
