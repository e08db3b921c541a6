import type { TileRun } from '../../store.ts';
import type { Figures } from '../figures.ts';

export type RunSums = Pick<
  TileRun,
  'segments' | 'sealedLengthM' | 'distressedM' | 'maxDamagedShare' | 'dueYear' | 'failedByYearEnd'
>;

function meanFailed(members: Int32Array, { lengthM, failedByYearEnd, yearEnds }: Figures): Float32Array | null {
  const sums = new Float64Array(yearEnds);
  let weightM = 0;
  for (const row of members) {
    const at = row * yearEnds;
    if (yearEnds === 0 || Number.isNaN(failedByYearEnd[at])) continue;
    weightM += lengthM[row];
    for (let year = 0; year < yearEnds; year++) sums[year] += lengthM[row] * failedByYearEnd[at + year];
  }
  return weightM === 0 ? null : new Float32Array(sums.map((sum) => sum / weightM));
}

/**
 * Totals and length-weighted means over the segments of a run.
 * @param kept one entry a row, 1 for segments to count; null: all
 */
export function sumRun(
  members: Int32Array,
  figures: Figures,
  { thresholdShare, kept }: { thresholdShare: number; kept: Uint8Array | null },
): RunSums {
  const counted = kept ? members.filter((row) => kept[row] === 1) : members;
  let [sealedLengthM, distressedM, dueLengthM, dueSum] = [0, 0, 0, 0];
  let maxDamagedShare: number | null = null;
  for (const row of counted) {
    const lengthM = figures.lengthM[row];
    const damagedShare = figures.damagedShare[row];
    sealedLengthM += lengthM;
    if (damagedShare >= thresholdShare) distressedM += lengthM;
    if (!Number.isNaN(damagedShare)) maxDamagedShare = Math.max(maxDamagedShare ?? 0, damagedShare);
    if (figures.dueYear[row] === 0) continue;
    dueLengthM += lengthM;
    dueSum += lengthM * figures.dueYear[row];
  }
  return {
    segments: counted.length,
    sealedLengthM,
    distressedM,
    maxDamagedShare,
    dueYear: dueLengthM === 0 ? null : dueSum / dueLengthM,
    failedByYearEnd: meanFailed(counted, figures),
  };
}
