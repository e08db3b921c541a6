/** Daily means of one freezing season in order of day, °C. */
type SeasonMeansC = readonly number[];

/**
 * Freezing index of one season: the largest fall of the running sum of daily means from a peak to a later trough.
 * A thaw before winter or after it does not count against the frost.
 * @returns °C-days, 0 or more
 * Source: definition of the US Army Corps of Engineers (glossary of the American Meteorological Society, "freezing index").
 */
export function freezingIndexCDays(dailyMeansC: SeasonMeansC): number {
  let [sum, peak, largestFall] = [0, 0, 0];
  for (const meanC of dailyMeansC) {
    sum += meanC;
    peak = Math.max(peak, sum);
    largestFall = Math.max(largestFall, peak - sum);
  }
  return largestFall;
}

/**
 * Sum of the daily means below 0 °C, sign turned: never less than the freezing index, since thaws take nothing off.
 * @returns °C-days, 0 or more
 */
export const negativeDegreeDaysC = (dailyMeansC: SeasonMeansC): number =>
  dailyMeansC.reduce((sum, meanC) => sum + Math.max(0, -meanC), 0);

const LONG_RECORD_YEARS = 30;
const SHORT_RECORD_YEARS = 10;
const COLDEST_WINTERS = 3;

/**
 * Design freezing index: the mean of the three coldest of the latest 30 winters; of a shorter record, the coldest of the
 * latest ten.
 * @param seasonsCDays freezing index of each winter in order, °C-days, at least one
 * Source: US Army frost design course (definition of the design freezing index).
 */
export function designFreezingIndexCDays(seasonsCDays: readonly number[]): number {
  if (seasonsCDays.length === 0) throw new RangeError('seasonsCDays is empty; expected at least one winter');
  if (seasonsCDays.length < LONG_RECORD_YEARS) return Math.max(...seasonsCDays.slice(-SHORT_RECORD_YEARS));
  const coldest = seasonsCDays.slice(-LONG_RECORD_YEARS).sort((a, b) => b - a);
  return coldest.slice(0, COLDEST_WINTERS).reduce((sum, index) => sum + index, 0) / COLDEST_WINTERS;
}

/** Degree-days Fahrenheit count from 32 °F, so only the size of the degree differs. */
export const fDaysOfCDays = (cDays: number): number => cDays * 1.8;
