import type { ConditionData } from '../condition/condition.ts';
import type { AftData } from '../survival/aft.ts';
import type { LevelPlaces } from './level-quadratic.ts';
import type { Grouping } from './pooled-rows.ts';

/** Sum of the effects on each row. `effects`: of all groupings in turn; a row of no known level has none. */
export function effectOfRows(
  rows: number,
  groupings: readonly Grouping[],
  { levelStart }: Pick<LevelPlaces, 'levelStart'>,
  effects: Float64Array,
): Float64Array {
  const out = new Float64Array(rows);
  for (const [g, { index }] of groupings.entries())
    for (let i = 0; i < rows; i++) if (index[i] >= 0) out[i] += effects[levelStart[g] + index[i]];
  return out;
}

/**
 * The rows with every age, also those of readings, over exp(effect): log T = x'beta + effect + sigma W is log of the scaled T =
 * x'beta + sigma W, so a fit of these rows is one in which the effects are taken as known.
 */
export function scaledAges<Data extends AftData | ConditionData>(data: Data, effect: Float64Array): Data {
  const factor = effect.map((shift) => Math.exp(-shift));
  const scaled = (ages: Float64Array): Float64Array => ages.map((age, i) => age * factor[i]);
  const rows = { entry: scaled(data.entry), lower: scaled(data.lower), upper: scaled(data.upper) };
  if (!('readingStart' in data)) return { ...data, ...rows };
  const { readingStart, readingAge, readingAgeSd } = data;
  const ofReading = new Float64Array(readingAge.length);
  for (let i = 0; i < factor.length; i++) ofReading.fill(factor[i], readingStart[i], readingStart[i + 1]);
  const scaledReading = (ages: Float64Array): Float64Array => ages.map((age, r) => age * ofReading[r]);
  return {
    ...data,
    ...rows,
    readingAge: scaledReading(readingAge),
    ...(readingAgeSd ? { readingAgeSd: scaledReading(readingAgeSd) } : {}),
  };
}
