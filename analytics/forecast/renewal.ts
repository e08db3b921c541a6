/**
 * Chance that a new seal's life ends in its 1st, 2nd, ... year: entry n is S(n - 1) - S(n), entry 0 is 0.
 * A life ending within a year counts as that whole year, since a failed seal is resealed by the end of its year.
 */
export function wholeYearLives(survivalAt: (ageYears: number) => number, years: number): Float64Array {
  const lives = new Float64Array(years + 1);
  for (let n = 1; n <= years; n++) lives[n] = survivalAt(n - 1) - survivalAt(n);
  return lives;
}

/** The same for a seal that is sound at an age today: entry n is the chance that it fails in the n-th year from now. */
export function wholeYearResidualLives(
  survivalAt: (ageYears: number) => number,
  ageYears: number,
  years: number,
): Float64Array {
  const alive = survivalAt(ageYears);
  return wholeYearLives((ahead) => survivalAt(ageYears + ahead) / alive, years);
}

/**
 * Expected renewals in each year of a chain that starts new in year 0: m_n = f_n + sum f_j m_(n-j).
 * Exact for lives in whole years. `lives`, result: entry n for year n, entry 0 unused.
 */
export function renewalsByYear(lives: ArrayLike<number>): Float64Array {
  const renewals = new Float64Array(lives.length);
  for (let n = 1; n < renewals.length; n++) {
    let sum = lives[n];
    for (let j = 1; j < n; j++) sum += lives[j] * renewals[n - j];
    renewals[n] = sum;
  }
  return renewals;
}

/**
 * Expected renewals in each year when the seal in service has its own first life and every later seal is new:
 * first failures plus, for each of them, the renewals of the chain that it starts.
 */
export function delayedRenewalsByYear(firstLives: ArrayLike<number>, newLives: ArrayLike<number>): Float64Array {
  const later = renewalsByYear(newLives);
  const renewals = Float64Array.from(firstLives);
  for (let n = 1; n < renewals.length; n++) {
    for (let k = 0; k < n; k++) renewals[n] += firstLives[k] * later[n - k];
  }
  return renewals;
}

/**
 * Renewal function M(t) of a continuous life by the midpoint rule for M = F + M * dF (Xie, Commun. Stat. Simul. 18, 1989).
 * Error falls with the square of the step.
 */
export function renewalFunction(failedBy: (age: number) => number, until: number, steps: number): number {
  const step = until / steps;
  const atMidpoints = Float64Array.from({ length: steps }, (_, i) => failedBy((i + 0.5) * step));
  const values = new Float64Array(steps + 1);
  for (let i = 1; i <= steps; i++) {
    let sum = failedBy(i * step) - atMidpoints[0] * values[i - 1];
    for (let j = 1; j < i; j++) sum += atMidpoints[i - j] * (values[j] - values[j - 1]);
    values[i] = sum / (1 - atMidpoints[0]);
  }
  return values[steps];
}

/** `renewalFunction` from three step sizes, with the terms in step² and step⁴ cancelled (Richardson). */
export function renewalFunctionRefined(failedBy: (age: number) => number, until: number, steps = 400): number {
  const [coarse, middle, fine] = [1, 2, 4].map((factor) => renewalFunction(failedBy, until, steps * factor));
  const [first, second] = [(4 * middle - coarse) / 3, (4 * fine - middle) / 3];
  return (16 * second - first) / 15;
}
