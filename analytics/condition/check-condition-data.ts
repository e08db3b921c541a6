import { checkAftData } from '../survival/check-aft-data.ts';
import type { ConditionData, ReadingModel, ShareReadings } from './condition.ts';

/**
 * Refuses rows and readings that the model has no meaning for.
 * @throws RangeError naming the row (from 1) or reading (from 1), the field, what it is and what is allowed
 */
export function checkConditionData(data: ConditionData): void {
  checkAftData(data);
  checkReadings(data, data.lower.length);
}

/** @throws RangeError as `checkConditionData` */
export function checkReadings(readings: ShareReadings, rows: number): void {
  const { readingStart, readingAge, readingShare, readingInspector } = readings;
  if (readingStart.length !== rows + 1)
    throw new RangeError(`readingStart has ${readingStart.length} entries; expected ${rows + 1}, rows and one more`);
  for (let i = 0; i <= rows; i++) {
    const least = i === 0 ? 0 : readingStart[i - 1];
    if (readingStart[i] < least || (i === 0 && readingStart[0] !== 0))
      throw new RangeError(`readingStart[${i}] is ${readingStart[i]}; expected ${i === 0 ? 0 : `at least ${least}`}`);
  }
  const count = readingStart[rows];
  const lengths = {
    readingAge: readingAge.length,
    readingShare: readingShare.length,
    readingInspector: readingInspector.length,
    readingAgeSd: readings.readingAgeSd?.length ?? count,
  };
  for (const [name, length] of Object.entries(lengths))
    if (length !== count)
      throw new RangeError(`${name} has ${length} entries; expected ${count}, one for each reading`);
  for (let r = 0; r < count; r++) {
    if (!(readingAge[r] >= 0 && readingAge[r] < Infinity))
      throw refuse(r, 'age', readingAge[r], 'a finite age, 0 or more');
    if (!(readingShare[r] >= 0 && readingShare[r] <= 1)) throw refuse(r, 'share', readingShare[r], '0 to 1');
    const ageSd = readings.readingAgeSd?.[r] ?? 0;
    if (!(ageSd >= 0 && ageSd < Infinity)) throw refuse(r, 'SD of age', ageSd, 'a finite SD, 0 or more');
    if (readingInspector[r] < -1)
      throw refuse(r, 'inspector', readingInspector[r], '-1 for nobody, or an index from 0');
  }
}

/** @throws RangeError naming the limit that is out of order */
export function checkReadingModel(model: ReadingModel): void {
  const { detectionLimitShare: low, failureThresholdShare: threshold, fullLimitShare: high } = model;
  if (!(low > 0 && low < threshold && threshold < high && high < 1))
    throw new RangeError(
      `detectionLimitShare is ${low}, failureThresholdShare ${threshold}, fullLimitShare ${high}; expected 0 < the first < the second < the third < 1`,
    );
  const step = model.recordingStepShare;
  if (!(step >= 0 && step < threshold))
    throw new RangeError(`recordingStepShare is ${step}; expected 0 or more, below the threshold ${threshold}`);
  const band = model.thresholdBandShare;
  if (!(band >= 0 && threshold - band - step > low && threshold + band + step < high))
    throw new RangeError(`thresholdBandShare is ${band}; expected 0 or more, within the detection and the full limit`);
}

const refuse = (reading: number, field: string, found: number, expected: string): RangeError =>
  new RangeError(`Reading ${reading + 1} of the fit, ${field} is ${found}; expected ${expected}`);
