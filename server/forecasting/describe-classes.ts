import { classCurve } from '../../analytics/forecast/class-curve.ts';
import { intervalOf } from '../../analytics/forecast/draw-table.ts';
import { classPrior } from '../../analytics/survival/covariate-prior.ts';
import { writeDesignRow } from '../../analytics/survival/covariate-rows.ts';
import { standardQuantile } from '../../analytics/survival/families.ts';
import type { IntervalRows } from '../../analytics/survival/innermost-intervals.ts';
import { type MassIntervals, turnbullOfGroups } from '../../analytics/survival/turnbull-chunks.ts';
import { TWO_THREADS } from '../jobs/sum-threads.ts';
import type { ClassLife } from '../schemas/model.ts';
import type { SealantClass } from '../schemas/words.ts';
import { dataShare } from './data-share.ts';
import type { FittedModel } from './fit-network.ts';
import { DAYS_PER_YEAR, type Network } from './network.ts';

const CURVE_YEARS = 40;
const CURVE_STEP_YEARS = 0.5;
/** Ages are drawn to the month, those of many seals to two: finer steps cost time and cannot be seen. */
const STEPS_PER_YEAR = 12;
const STEPS_PER_YEAR_OF_MANY = 6;
const MANY_OF_A_CLASS = 5000;

/** The life of each class of the network: fitted curve, non-parametric estimate, counts, and how much is prior. */
export function describeClasses(network: Network, model: FittedModel): ClassLife[] {
  const medians = classMedians(network, model);
  const found = turnbullOfGroups(
    medians.map(({ rows }) => stepsOf(rows)),
    TWO_THREADS,
  );
  return medians.map(({ rows, average, believedYears, ...median }, index) => {
    const prior = classPrior(median.sealantClass, model.priors.classes);
    return {
      ...median,
      priorMedianLifeYears: believedYears,
      priorSource: prior.source,
      dataShare: dataShare(model.draws, index, prior.logSd),
      curve: curveOf(model, average),
      turnbull: turnbullBoxes(found[index], stepsPerYear(rows)),
    };
  });
}

/** Median life of each class at its average covariates, with the rows that tell of it. */
export function classMedians(network: Network, model: FittedModel) {
  const averages = averageRows(network, model);
  return model.design.classes.map((name, index) => {
    const rows = network.rows.filter((row) => row.covariates.sealantClass === name);
    return {
      sealantClass: name as SealantClass,
      observations: rows.length,
      failures: rows.filter((row) => Number.isFinite(row.observation.upperDays)).length,
      medianLifeYears: intervalOf(medianDraws(model, averages[index])),
      believedYears: classPrior(name, model.priors.classes).medianYears,
      rows,
      average: averages[index],
    };
  });
}

/** The mean design row of the seals of each class. */
function averageRows(network: Network, { design }: FittedModel): Float64Array[] {
  const width = design.names.length;
  const row = new Float64Array(width);
  const sums = design.classes.map(() => new Float64Array(width));
  const counts = design.classes.map(() => 0);
  for (const seal of network.seals) {
    writeDesignRow(design, seal, row, 0);
    const own = design.classes.indexOf(seal.sealantClass);
    for (let j = 0; j < width; j++) sums[own][j] += row[j];
    counts[own]++;
  }
  return sums.map((sum, own) => sum.map((value) => value / Math.max(1, counts[own])));
}

function medianDraws({ draws, family }: FittedModel, row: Float64Array): Float64Array {
  const half = standardQuantile(family, 0.5);
  return Float64Array.from({ length: draws.draws }, (_, d) => {
    const eta = row.reduce((sum, x, j) => sum + x * draws.coefficients[d * row.length + j], 0);
    return Math.exp(eta + draws.scale[d] * half);
  });
}

function curveOf({ draws, family }: FittedModel, row: Float64Array): ClassLife['curve'] {
  const ages = Float64Array.from({ length: CURVE_YEARS / CURVE_STEP_YEARS + 1 }, (_, i) => i * CURVE_STEP_YEARS);
  const { survival, lower, upper } = classCurve(ages, row, draws, family);
  return { years: [...ages], survival: [...survival], lower: [...lower], upper: [...upper] };
}

const stepsPerYear = (rows: Network['rows']): number =>
  rows.length > MANY_OF_A_CLASS ? STEPS_PER_YEAR_OF_MANY : STEPS_PER_YEAR;

/** Ages in whole steps. */
function stepsOf(rows: Network['rows']): IntervalRows {
  const perDay = stepsPerYear(rows) / DAYS_PER_YEAR;
  const steps = (pick: (o: Network['rows'][number]['observation']) => number) =>
    Float64Array.from(rows, ({ observation }) => Math.round(pick(observation) * perDay));
  const entry = steps((o) => o.entryDays);
  const lower = steps((o) => o.lowerDays).map((age, i) => Math.max(age, entry[i]));
  const upper = steps((o) => o.upperDays).map((age, i) => Math.max(age, lower[i] + 1));
  return { entry, lower, upper, weight: new Float64Array(rows.length).fill(1) };
}

const turnbullBoxes = ({ from, to, mass, survivalAfter }: MassIntervals, perYear: number): ClassLife['turnbull'] =>
  [...from].map((step, i) => ({
    fromYears: step / perYear,
    toYears: Number.isFinite(to[i]) ? to[i] / perYear : null,
    survivalBefore: survivalAfter[i] + mass[i],
    survivalAfter: survivalAfter[i],
  }));
