export interface KaplanMeierInput {
  /** Age at which each unit came under observation; left out: all from age 0. */ readonly entry?: ArrayLike<number>;
  /** Age at failure or at the last look, above its entry age. */ readonly time: ArrayLike<number>;
  /** 1 where the unit failed at `time`, 0 where it was still sound. */ readonly failed: ArrayLike<number>;
  /** Left out: 1 each. */ readonly weight?: ArrayLike<number>;
}

export interface KaplanMeierStep {
  readonly time: number;
  readonly atRisk: number;
  readonly failures: number;
  /** Just after `time`. */ readonly survival: number;
  /** Greenwood's; null where survival has reached 0. */ readonly standardError: number | null;
}

/**
 * Product-limit estimate for exact ages at failure, with one step for each distinct time, censored ones too.
 * A unit is at risk at t if entry < t <= time; units censored at t are still at risk at t.
 * @throws RangeError naming the unit (from 1) and field
 * Source: Kaplan and Meier (J. Am. Statist. Assoc. 53, 1958); Greenwood (1926).
 */
export function kaplanMeier({ entry, time, failed, weight }: KaplanMeierInput): KaplanMeierStep[] {
  const units = time.length;
  for (let i = 0; i < units; i++) {
    if (!(time[i] > (entry?.[i] ?? 0) && time[i] < Infinity))
      throw new RangeError(`Unit ${i + 1}, time is ${time[i]}; expected above its entry age ${entry?.[i] ?? 0}`);
    if (!((weight?.[i] ?? 1) > 0)) throw new RangeError(`Unit ${i + 1}, weight is ${weight?.[i]}; expected above 0`);
  }
  const byTime = sortedIndices(time);
  const byEntry = entry ? sortedIndices(entry) : byTime;
  let atRisk = 0;
  let entered = 0;
  let survival = 1;
  let greenwood = 0;
  const steps: KaplanMeierStep[] = [];
  for (let k = 0; k < units; ) {
    const now = time[byTime[k]];
    for (; entered < units && (entry?.[byEntry[entered]] ?? 0) < now; entered++)
      atRisk += weight?.[byEntry[entered]] ?? 1;
    let failures = 0;
    let leaving = 0;
    for (; k < units && time[byTime[k]] === now; k++) {
      leaving += weight?.[byTime[k]] ?? 1;
      if (failed[byTime[k]]) failures += weight?.[byTime[k]] ?? 1;
    }
    // Weights that are no whole numbers leave rounding where the last unit fails.
    const allFailed = atRisk - failures < 1e-9 * atRisk;
    survival = allFailed ? 0 : survival * (1 - failures / atRisk);
    greenwood += allFailed ? 0 : failures / (atRisk * (atRisk - failures));
    const standardError = survival > 0 ? survival * Math.sqrt(greenwood) : null;
    steps.push({ time: now, atRisk, failures, survival, standardError });
    atRisk -= leaving;
  }
  return steps;
}

const sortedIndices = (values: ArrayLike<number>): Int32Array =>
  Int32Array.from({ length: values.length }, (_, i) => i).sort((a, b) => values[a] - values[b]);
