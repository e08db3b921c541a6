import type { AftData, AftPrior } from '../survival/aft.ts';
import { compress } from '../survival/compress.ts';
import { type Design, standardise } from '../survival/standardise.ts';

/** One way of grouping the rows of a fit: sealant classes, lots, crews, facilities, districts. */
export interface Grouping {
  /** In the singular, as a reader would say it: "lot". */ readonly name: string;
  /** One entry for each row: its place in `levels`, or -1 where the record does not say. */ readonly index: Int32Array;
  readonly levels: readonly string[];
}

/** Rows merged where covariates, levels and ages agree; a pattern has one set of covariates and levels. */
export interface PooledRows {
  readonly design: Design;
  /** Row-major, patterns x groupings; -1: not recorded. */ readonly levelOf: Int32Array;
  readonly groupings: readonly Grouping[];
}

/** @throws RangeError naming the grouping, row and value */
export function checkGroupings(data: AftData, groupings: readonly Grouping[]): void {
  const rows = data.lower.length;
  for (const { name, index, levels } of groupings) {
    if (index.length !== rows)
      throw new RangeError(`Grouping ${name} has ${index.length} entries; expected ${rows}, one for each row`);
    for (let i = 0; i < rows; i++)
      if (!(index[i] >= -1 && index[i] < levels.length))
        throw new RangeError(
          `Row ${i + 1} of the fit, ${name} is ${index[i]}; expected a place among its ${levels.length} levels, or -1`,
        );
  }
}

export function poolRows(data: AftData, groupings: readonly Grouping[], prior: AftPrior | null): PooledRows {
  const rows = data.lower.length;
  const columns = data.names.length;
  const groups = groupings.length;
  const wide = columns + groups;
  const table = new Float64Array(rows * wide);
  for (let i = 0; i < rows; i++) {
    for (let j = 0; j < columns; j++) table[i * wide + j] = data.covariates[i * columns + j];
    for (let g = 0; g < groups; g++) table[i * wide + columns + g] = groupings[g].index[i];
  }
  const merged = compress({ ...data, covariates: table, names: [...data.names, ...groupings.map((g) => g.name)] });
  const patterns = merged.patternStart.length - 1;
  const covariates = new Float64Array(patterns * columns);
  const levelOf = new Int32Array(patterns * groups);
  for (let k = 0; k < patterns; k++) {
    for (let j = 0; j < columns; j++) covariates[k * columns + j] = merged.covariates[k * wide + j];
    for (let g = 0; g < groups; g++) levelOf[k * groups + g] = merged.covariates[k * wide + columns + g];
  }
  return { design: standardise({ ...merged, names: data.names, covariates }, prior), levelOf, groupings };
}
