import { ageInformation } from '../../../../analytics/condition/row-information.ts';
import { seededRandom } from '../../../../analytics/numeric/seeded-normals.ts';
import { levelPlaces } from '../../../../analytics/pooling/level-quadratic.ts';
import { type OffsetFit, pooledLevels } from '../../../../analytics/pooling/pooled-levels.ts';
import type { Grouping } from '../../../../analytics/pooling/pooled-rows.ts';
import { effectOfRows, scaledAges } from '../../../../analytics/pooling/scaled-ages.ts';
import type { AftData, AftPrior } from '../../../../analytics/survival/aft.ts';
import { fitAft } from '../../../../analytics/survival/fit-aft.ts';

export const TRUE_SIGMA = 0.4;
export const TRUE_MEDIANS = [9, 14] as const;
export const TRUE_SLOPE = 0.1;
export const NAMES = ['class:a', 'class:b', 'x'] as const;
export const PRIOR: AftPrior = {
  means: [2.3, 2.3, 0],
  sds: [0.5, 0.5, 0.35],
  logScaleMean: -Math.log(2.5),
  logScaleSd: 0.4,
};

export interface SimulatedGrouping {
  readonly name: string;
  readonly levels: number;
  /** True SD of log life among its levels. */ readonly sd: number;
}

export interface Simulated {
  readonly data: AftData;
  readonly groupings: Grouping[];
  /** True effects, grouping by grouping. */ readonly effects: Float64Array[];
}

/** Weibull lives of two classes with level effects, looked at every other year for 2 to 16 years. */
export function simulateLevels(seed: number, rows: number, wanted: readonly SimulatedGrouping[]): Simulated {
  const { normal, uniform } = seededRandom(seed);
  const effects = wanted.map(({ sd, levels }) => Float64Array.from({ length: levels }, () => sd * normal()));
  const index = wanted.map(() => new Int32Array(rows));
  const covariates = new Float64Array(rows * NAMES.length);
  const lower = new Float64Array(rows);
  const upper = new Float64Array(rows).fill(Number.POSITIVE_INFINITY);
  for (let i = 0; i < rows; i++) {
    const sealant = i % 2;
    const x = normal();
    covariates.set([1 - sealant, sealant, x], i * NAMES.length);
    // Half have failed where -log(1 - u) is log 2.
    let logLife = Math.log(TRUE_MEDIANS[sealant]) - TRUE_SIGMA * Math.log(Math.LN2) + TRUE_SLOPE * x;
    for (const [g, { levels }] of wanted.entries()) {
      index[g][i] = Math.floor(uniform() * levels);
      logLife += effects[g][index[g][i]];
    }
    const life = Math.exp(logLife + TRUE_SIGMA * Math.log(-Math.log(1 - uniform())));
    const until = 2 + 14 * uniform();
    for (let age = 0.5 + 1.5 * uniform(); age < until && upper[i] === Number.POSITIVE_INFINITY; age += 2)
      if (life > age) lower[i] = age;
      else upper[i] = age;
  }
  return {
    data: {
      ...{ entry: new Float64Array(rows), lower, upper, weight: new Float64Array(rows).fill(1), covariates },
      names: NAMES,
      intercept: false,
    },
    groupings: wanted.map(({ name, levels }, g) => ({
      ...{ name, index: index[g] },
      levels: Array.from({ length: levels }, (_, l) => `${name} ${l + 1}`),
    })),
    effects,
  };
}

interface RowsFit extends OffsetFit {
  readonly rows: AftData;
}

/** The fit of ages with effects of levels where they show. */
export function poolAges(data: AftData, groupings: readonly Grouping[]) {
  const fitTo = (rows: AftData): RowsFit => {
    const life = fitAft(rows, { family: 'weibull', prior: PRIOR });
    return { life, rows, information: (oneIn) => ageInformation(rows, life, oneIn) };
  };
  const places = levelPlaces(groupings, 0);
  const fitAt = (effects: Float64Array) =>
    fitTo(scaledAges(data, effectOfRows(data.lower.length, groupings, places, effects)));
  return pooledLevels(data, groupings, PRIOR, { first: fitTo(data), fitAt });
}
