/** Share of failures with half a failure and half a survival added, so that no count makes a method certain. */
export const softShare = (failures: number, looks: number): number => (failures + 0.5) / (looks + 1);

/**
 * A two-valued forecast priced at its own errors: the soft share of failures among past looks below `limit`, and at or
 * above it. `scores`, `failed`: one entry for each past look.
 */
export function sharesEachSide(scores: Float64Array, failed: Uint8Array, limit: number): (score: number) => number {
  const looks = [0, 0];
  const failures = [0, 0];
  for (let i = 0; i < scores.length; i++) {
    const side = Number(scores[i] >= limit);
    looks[side]++;
    failures[side] += failed[i];
  }
  return (score) => softShare(failures[Number(score >= limit)], looks[Number(score >= limit)]);
}

interface Block {
  readonly from: number;
  looks: number;
  failures: number;
}

/**
 * The non-decreasing share of failures that fits past looks best, in steps; each step's share is soft.
 * A score below the first step has the share of the first. Without past looks the answer is a half.
 * Source: pool-adjacent-violators, Ayer et al., Annals of Mathematical Statistics 26 (1955), 641–647.
 */
export function isotonicShares(scores: Float64Array, failed: Uint8Array): (score: number) => number {
  const order = Int32Array.from(scores.keys()).sort((a, b) => scores[a] - scores[b] || a - b);
  const blocks: Block[] = [];
  for (const i of order) {
    const last = blocks.at(-1);
    if (last && last.from === scores[i]) {
      last.looks++;
      last.failures += failed[i];
    } else blocks.push({ from: scores[i], looks: 1, failures: failed[i] });
  }
  const pooled: Block[] = [];
  for (const block of blocks) {
    let joined = block;
    for (let before = pooled.at(-1); before && shareOf(before) >= shareOf(joined); before = pooled.at(-1)) {
      pooled.pop();
      joined = { from: before.from, looks: before.looks + joined.looks, failures: before.failures + joined.failures };
    }
    pooled.push(joined);
  }
  const shares = softened(pooled);
  return (score) => {
    let [low, high] = [0, pooled.length];
    while (low < high) {
      const middle = (low + high) >> 1;
      if (pooled[middle].from <= score) low = middle + 1;
      else high = middle;
    }
    return pooled.length === 0 ? 0.5 : shares[Math.max(0, low - 1)];
  };
}

const shareOf = ({ looks, failures }: Block): number => failures / looks;

/** Soft shares of the steps; softening may turn two short steps round, so it never falls below the step before. */
function softened(blocks: readonly Block[]): number[] {
  const shares: number[] = [];
  for (const { failures, looks } of blocks) shares.push(Math.max(shares.at(-1) ?? 0, softShare(failures, looks)));
  return shares;
}
