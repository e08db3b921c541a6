/**
 * Picks `count` indices with the given weights from one uniform number, evenly spread: each index comes up
 * within one of its expected number of times. Source: Kitagawa (J. Comput. Graph. Statist. 5, 1996).
 * `weights`: 0 or more, summing to 1; `uniform`: in [0, 1).
 */
export function systematicResample(weights: Float64Array, count: number, uniform: number): Int32Array {
  const picked = new Int32Array(count);
  let index = 0;
  let reached = weights[0];
  for (let k = 0; k < count; k++) {
    const target = (k + uniform) / count;
    while (reached < target && index < weights.length - 1) reached += weights[++index];
    picked[k] = index;
  }
  return picked;
}
