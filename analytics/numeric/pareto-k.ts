/**
 * Shape k of a generalised Pareto distribution fitted to the largest importance weights. Below 0.7 the weighted
 * sample can be trusted. Source: Vehtari, Simpson, Gelman, Yao and Gabry, Pareto smoothed importance sampling
 * (JMLR 25, 2024), with the estimate of Zhang and Stephens (Technometrics 51, 2009).
 * `weights`: 0 or more, any scale, at least 25 of them for a meaningful answer.
 */
export function paretoK(weights: Float64Array): number {
  const sorted = Float64Array.from(weights).sort();
  const total = sorted.length;
  const tail = Math.ceil(Math.min(0.2 * total, 3 * Math.sqrt(total)));
  if (tail < 5 || tail >= total) return 0;
  const threshold = sorted[total - tail - 1];
  const exceedances = sorted.slice(total - tail).map((w) => w - threshold);
  const largest = exceedances[tail - 1];
  // Weights that are equal to rounding have no tail at all.
  if (!(largest > 1e-12 * sorted[total - 1])) return 0;
  const k = generalisedParetoShape(exceedances);
  // A weak prior of ten observations at one half, as the paper recommends, steadies short tails.
  return (k * tail + 5) / (tail + 10);
}

function generalisedParetoShape(sorted: Float64Array): number {
  const n = sorted.length;
  const points = 30 + Math.floor(Math.sqrt(n));
  const quartile = Math.max(sorted[Math.floor(n / 4 + 0.5) - 1], 1e-300);
  const rates = Float64Array.from(
    { length: points },
    (_, j) => (1 - Math.sqrt(points / (j + 0.5))) / (3 * quartile) + 1 / sorted[n - 1],
  );
  const shapes = rates.map((rate) => meanLog(sorted, rate));
  const logLikelihoods = rates.map((rate, j) => n * (Math.log(-rate / shapes[j]) - shapes[j] - 1));
  const best = logLikelihoods.reduce((a, b) => Math.max(a, b), -Infinity);
  let weightSum = 0;
  let rate = 0;
  for (let j = 0; j < points; j++) {
    const weight = Math.exp(logLikelihoods[j] - best);
    if (!Number.isFinite(weight)) continue;
    weightSum += weight;
    rate += weight * rates[j];
  }
  return meanLog(sorted, rate / weightSum);
}

function meanLog(sorted: Float64Array, rate: number): number {
  let sum = 0;
  for (const x of sorted) sum += Math.log1p(-rate * x);
  return sum / sorted.length;
}
