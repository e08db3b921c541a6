import type { AftData } from './aft.ts';

/**
 * Refuses rows that no likelihood has a meaning for.
 * @throws RangeError naming the row (from 1), the field, what it is and what is allowed
 */
export function checkAftData(data: AftData): void {
  const rows = data.lower.length;
  const columns = data.names.length;
  if (rows === 0) throw new RangeError('The fit has no rows; expected at least one');
  for (const field of ['entry', 'upper', 'weight'] as const) {
    if (data[field].length !== rows)
      throw new RangeError(`${field} has ${data[field].length} values; expected ${rows}, one for each row`);
  }
  if (data.covariates.length !== rows * columns)
    throw new RangeError(`covariates has ${data.covariates.length} values; expected ${rows} rows x ${columns} names`);
  for (let i = 0; i < rows; i++) checkRow(data, i);
  for (let k = 0; k < data.covariates.length; k++) {
    if (Number.isFinite(data.covariates[k])) continue;
    const row = Math.floor(k / columns);
    throw refuse(row, data.names[k % columns], data.covariates[k], 'a finite number');
  }
}

function checkRow({ entry, lower, upper, weight }: AftData, i: number): void {
  if (!(entry[i] >= 0 && entry[i] < Infinity)) throw refuse(i, 'entry', entry[i], 'a finite age, 0 or more');
  if (!(lower[i] >= entry[i] && lower[i] < Infinity))
    throw refuse(i, 'lower', lower[i], `a finite age, at least the entry age ${entry[i]}`);
  if (!(upper[i] >= lower[i] && upper[i] > 0))
    throw refuse(i, 'upper', upper[i], `an age above 0, at least the lower age ${lower[i]}`);
  if (!(weight[i] > 0 && weight[i] < Infinity)) throw refuse(i, 'weight', weight[i], 'a finite weight above 0');
}

const refuse = (row: number, field: string, found: number, expected: string): RangeError =>
  new RangeError(`Row ${row + 1} of the fit, ${field} is ${found}; expected ${expected}`);
