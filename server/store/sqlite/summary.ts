import type { Filter } from '../../schemas/filter.ts';
import type { Summary } from '../../schemas/forecast.ts';
import { failedNowInterval } from './failed-now-interval.ts';
import { FACET_NAMES, type FacetColumn, type FacetName, type NetworkColumns } from './network-columns.ts';

type Totals = Omit<Summary, 'facets' | 'ageYearsRange' | 'dataVersion'>;

/** One entry a row number: 1 for the segments to count. */
type Kept = Uint8Array;

function totals(columns: NetworkColumns, kept: Kept, thresholdShare: number): Totals {
  const sums = { segments: 0, sealedLengthM: 0, expectedFailedNowM: 0, distressedM: 0 };
  const counts = { neverInspected: 0, dueBeyondHorizon: 0 };
  const due = new Map<number, { year: number; segments: number; sealedLengthM: number }>();
  for (let row = 0; row < kept.length; row++) {
    if (kept[row] === 0) continue;
    const lengthM = columns.lengthM[row];
    sums.segments++;
    sums.sealedLengthM += lengthM;
    if (columns.failedNow[row] > 0) sums.expectedFailedNowM += lengthM * columns.failedNow[row];
    if (columns.damagedShare[row] >= thresholdShare) sums.distressedM += lengthM;
    counts.neverInspected += columns.neverInspected[row];
    const year = columns.dueYear[row];
    if (year === 0) counts.dueBeyondHorizon += columns.hasForecast[row];
    else {
      const line = due.get(year) ?? { year, segments: 0, sealedLengthM: 0 };
      line.segments++;
      line.sealedLengthM += lengthM;
      due.set(year, line);
    }
  }
  const expectedFailedNowInterval = failedNowInterval(columns, kept, sums.expectedFailedNowM);
  return {
    ...sums,
    expectedFailedNowInterval,
    ...counts,
    dueByYear: [...due.values()].sort((a, b) => a.year - b.year),
  };
}

function facet({ words, codes }: FacetColumn, lengthM: Float64Array, kept: Kept): Summary['facets'][FacetName] {
  const counts = new Uint32Array(words.length + 1);
  const lengths = new Float64Array(words.length + 1);
  for (let row = 0; row < kept.length; row++) {
    if (kept[row] === 0) continue;
    counts[codes[row]]++;
    lengths[codes[row]] += lengthM[row];
  }
  return words.map((value, i) => ({ value, count: counts[i + 1], sealedLengthM: lengths[i + 1] }));
}

/**
 * Totals of what the filter keeps. A facet lists every word of the network, counted under all the other filters, so
 * that a word that is not chosen shows what it would add; the age range is the whole network's.
 * @param keptBy the rows that a filter keeps
 */
export function summarise(
  filter: Filter,
  {
    columns,
    keptBy,
    thresholdShare,
  }: { columns: NetworkColumns; keptBy: (filter: Filter) => Kept; thresholdShare: number },
): Omit<Summary, 'dataVersion'> {
  const kept = keptBy(filter);
  const facets = FACET_NAMES.map((name) => {
    const under = filter[name] === undefined ? kept : keptBy({ ...filter, [name]: undefined });
    return [name, facet(columns.facets[name], columns.lengthM, under)];
  });
  return {
    ...totals(columns, kept, thresholdShare),
    facets: Object.fromEntries(facets) as Summary['facets'],
    ageYearsRange: columns.ageYearsRange,
  };
}
