import { chooseLink } from './choose-link.ts';
import { type ConditionData, type ReadingModel, readingModel } from './condition.ts';
import type { ConditionOptions } from './fit-condition.ts';
import { recordingStep } from './prepared-readings.ts';
import type { ShareLink } from './share-link.ts';

/** Half-width of the band about the threshold, as a share of it: wide enough for what is rounded or nudged to its side. */
const BAND_OF_THRESHOLD = 0.05;

/**
 * How the shares of a network are to be read, learnt from them: the step in which they are written down, the link that
 * fits best, and a band about the threshold, since the sides of looks are read off the same shares.
 * @param failureThresholdShare above 0 and below `FULL_LIMIT_SHARE`
 * @param knownLink link that was learnt before; finding one is the costly part
 */
export function learnReading(
  data: ConditionData,
  failureThresholdShare: number,
  options: Omit<ConditionOptions, 'reading'>,
  knownLink?: ShareLink,
): ReadingModel {
  const step = recordingStep(data.readingShare);
  const recordingStepShare = step < failureThresholdShare / 2 ? step : 0;
  const plain = readingModel(failureThresholdShare, { recordingStepShare });
  const band = BAND_OF_THRESHOLD * failureThresholdShare;
  const room = Math.min(
    failureThresholdShare - plain.detectionLimitShare,
    plain.fullLimitShare - failureThresholdShare,
  );
  const reading = { ...plain, thresholdBandShare: band + recordingStepShare < room ? band : 0 };
  return { ...reading, link: knownLink ?? chooseLink(data, { ...options, reading }).link };
}
