import type { CutoffModel } from '../../../../analytics/backtest/trial-forecast.ts';
import type { Trials } from '../../../../analytics/backtest/trial-table.ts';
import { seededRandom } from '../../../../analytics/numeric/seeded-normals.ts';

export const SIMULATED_CLASSES = ['long', 'short'];
const MEDIANS = [14, 8];
const SIGMA = 1 / 2.6;

export interface SimulationOptions {
  readonly lives: number;
  readonly seed: number;
  readonly facilities?: number;
  /** True lives of each class are this many times what the model says. */ readonly trueTimes?: readonly number[];
}

type Column = Exclude<keyof Trials, 'count' | 'labels'>;
type SimulatedRow = Readonly<Record<Column, number>>;

/** Weibull lives of two classes, sound at some age on one cut-off day, looked at every two years for six years. */
export function simulatedTrials({ lives, seed, facilities = 40, trueTimes = [1, 1] }: SimulationOptions): Trials {
  const { uniform } = seededRandom(seed);
  const rows: SimulatedRow[] = [];
  let life = 0;
  for (let seal = 0; seal < lives; seal++) {
    const facility = Math.floor(uniform() * facilities);
    const sealantClass = Number(uniform() < 0.5);
    const soundYears = Math.floor(uniform() * 10);
    const scale = (trueTimes[sealantClass] * MEDIANS[sealantClass]) / Math.LN2 ** SIGMA;
    // Life given that it is sound at the start: its cumulative hazard gains a unit exponential.
    const hazard = (soundYears / scale) ** (1 / SIGMA) - Math.log(1 - uniform());
    const lifeYears = scale * hazard ** SIGMA;
    const place = { seal, segment: seal, facility, sealantClass, district: facility % 3, climateZone: facility % 2 };
    const lengthM = 50 + 400 * uniform();
    for (let step = 0; step < 3; step++) {
      const fromYears = soundYears + 2 * step;
      const lookYears = fromYears + 2;
      const failed = Number(lifeYears <= lookYears);
      const row = { life, look: rows.length, cutoff: 0, fromYears, lookYears, leadYears: 2 * step + 1 };
      rows.push({ ...place, ...row, failed, lengthM, fromShare: Number.NaN });
      if (failed) break;
    }
    life++;
  }
  const whole = (name: keyof SimulatedRow) => Int32Array.from(rows, (row) => row[name]);
  const real = (name: keyof SimulatedRow) => Float64Array.from(rows, (row) => row[name]);
  return {
    count: rows.length,
    cutoff: whole('cutoff'),
    seal: whole('seal'),
    segment: whole('segment'),
    life: whole('life'),
    look: whole('look'),
    fromYears: real('fromYears'),
    lookYears: real('lookYears'),
    leadYears: real('leadYears'),
    failed: Uint8Array.from(rows, ({ failed }) => failed),
    lengthM: real('lengthM'),
    fromShare: real('fromShare'),
    facility: whole('facility'),
    district: whole('district'),
    sealantClass: whole('sealantClass'),
    climateZone: whole('climateZone'),
    labels: {
      cutoffs: ['2010-01-01'],
      facilities: Array.from({ length: facilities }, (_, k) => `F${k}`),
      districts: ['East', 'North', 'West'],
      classes: SIMULATED_CLASSES,
      zones: ['dry', 'wet'],
    },
  };
}

/** The model that made the lives, or one whose lives are some times as long, with its log life known to within `sd`. */
export function simulatedModel(trials: Trials, times = 1, { draws = 60, sd = 0 } = {}): CutoffModel {
  const { normal } = seededRandom(3);
  const seals = trials.seal[trials.count - 1] + 1;
  const rows = new Float64Array(2 * seals);
  for (let i = 0; i < trials.count; i++) rows[2 * trials.seal[i] + trials.sealantClass[i]] = 1;
  const coefficients = new Float64Array(2 * draws);
  for (let d = 0; d < draws; d++) {
    const error = sd * normal();
    MEDIANS.forEach((median, k) => {
      coefficients[2 * d + k] = Math.log(times * median) - SIGMA * Math.log(Math.LN2) + error;
    });
  }
  return {
    family: 'weibull',
    rows,
    draws: { draws, coefficients, scale: new Float64Array(draws).fill(SIGMA), effectiveSampleSize: draws, paretoK: 0 },
  };
}
