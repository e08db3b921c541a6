/**
 * Smallest share of false discoveries at which each hypothesis is rejected, from two-sided chances (0 to 1).
 * Source: Benjamini and Hochberg (J. R. Statist. Soc. B 57, 1995).
 */
export function falseDiscoveryShares(chances: Float64Array): Float64Array {
  const count = chances.length;
  const order = Array.from(chances.keys()).sort((a, b) => chances[a] - chances[b]);
  const shares = new Float64Array(count);
  let least = 1;
  for (let rank = count; rank >= 1; rank--) {
    const which = order[rank - 1];
    least = Math.min(least, (chances[which] * count) / rank);
    shares[which] = least;
  }
  return shares;
}
