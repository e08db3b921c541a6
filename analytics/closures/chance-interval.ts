/** Eight in ten lie within so many standard deviations. */
const NORMAL_P90 = 1.2815515655446004;

/**
 * Interval for a share seen in some independent trials, by inverting the score test (Wilson 1927, J. Am. Stat. Assoc. 22).
 * Never outside 0 to 1, and never empty where all or none succeeded.
 * @param trials above 0, need not be whole
 */
export function wilsonInterval(share: number, trials: number, z = NORMAL_P90): { low: number; high: number } {
  const square = (z * z) / trials;
  const middle = (share + square / 2) / (1 + square);
  const half = (z / (1 + square)) * Math.sqrt((share * (1 - share)) / trials + (z * z) / (4 * trials * trials));
  return { low: share <= 0 ? 0 : Math.max(0, middle - half), high: share >= 1 ? 1 : Math.min(1, middle + half) };
}
