import { seededRandom } from '../../analytics/numeric/seeded-normals.ts';
import type { AftData } from '../../analytics/survival/aft.ts';

/** Rows of the race; entry ages are 0, since the other side has no delayed entry. */
export const RACE_ROWS = 942_000;
const SEALS_PER_LOT = 120;
const DAYS_PER_YEAR = 365.25;
const COVARIATES = ['freezingIndex', 'logTraffic', 'widthMm', 'blasted'] as const;
const TRUTH = { intercept: 2.55, slopes: [-0.0004, -0.05, -0.02, 0.2], sigma: 0.4 };

type Random = ReturnType<typeof seededRandom>;

interface Lot {
  readonly freezingIndex: number;
  readonly logTraffic: number;
  readonly widthMm: number;
  readonly blasted: number;
  /** Ages in days at which all of it was looked at. */ readonly looksDays: readonly number[];
}

const whole = (random: Random, from: number, to: number): number =>
  from + Math.floor((to - from + 1) * random.uniform());

/** One of 40 stations, one of 300 roads, a nominal width; two to seven looks, two or three years apart. */
function lotOf(random: Random): Lot {
  const looksDays = [whole(random, 200, 1000)];
  for (let more = whole(random, 1, 6); more > 0; more--)
    looksDays.push(looksDays[looksDays.length - 1] + whole(random, 650, 1150));
  return {
    freezingIndex: 25 * whole(random, 0, 39),
    logTraffic: 7 + whole(random, 0, 299) / 100,
    widthMm: whole(random, 8, 20),
    blasted: Number(random.uniform() < 0.4),
    looksDays,
  };
}

/**
 * Seals as an agency has them on record: a lot is sealed and looked at together and ages are whole days, so that one row
 * stands for seven or eight seals. `distinct`: none is like another; each has its own measured covariates and times of day.
 */
export function raceRows(kind: 'as recorded' | 'distinct'): AftData {
  const random = seededRandom(20_260_701);
  const own = (spread: number): number => (kind === 'distinct' ? spread * (random.uniform() - 0.5) : 0);
  const [lower, upper] = [new Float64Array(RACE_ROWS), new Float64Array(RACE_ROWS).fill(Number.POSITIVE_INFINITY)];
  const covariates = new Float64Array(4 * RACE_ROWS);
  let lot = lotOf(random);
  for (let i = 0; i < RACE_ROWS; i++) {
    if (i % SEALS_PER_LOT === 0) lot = lotOf(random);
    const x = [
      lot.freezingIndex + own(25),
      lot.logTraffic + own(0.01),
      lot.widthMm + (i % 3 === 0 ? -2 : 0) + own(1),
      lot.blasted,
    ];
    covariates.set(x, 4 * i);
    const mean = TRUTH.slopes.reduce((sum, slope, j) => sum + slope * x[j], TRUTH.intercept);
    const lifeDays = DAYS_PER_YEAR * Math.exp(mean + TRUTH.sigma * Math.log(-Math.log(1 - random.uniform())));
    // A crew needs two days for a lot.
    const later = i % SEALS_PER_LOT < SEALS_PER_LOT / 2 ? 0 : 1;
    for (const look of lot.looksDays) {
      const days = look + later + own(1);
      if (lifeDays > days) lower[i] = days / DAYS_PER_YEAR;
      else {
        upper[i] = days / DAYS_PER_YEAR;
        break;
      }
    }
  }
  return {
    entry: new Float64Array(RACE_ROWS),
    lower,
    upper,
    weight: new Float64Array(RACE_ROWS).fill(1),
    covariates,
    names: COVARIATES,
    intercept: true,
  };
}
