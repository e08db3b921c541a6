import { test } from 'vitest';
import { forecastCondition } from '../../analytics/condition/forecast-condition.ts';
import { weakPrior } from '../../analytics/survival/weak-prior.ts';
import { fitShares } from '../../server/forecasting/fit-shares.ts';
import { TWO_THREADS } from '../../server/jobs/sum-threads.ts';
import { recover } from '../unit/analytics/condition/recovery.ts';
import { simulate, TRUTH } from '../unit/analytics/condition/simulate.ts';
import { type Figure, keepFigures } from './figures.ts';
import { processUse } from './process-use.ts';

const SEALS = 100_000;
const COLUMNS = 16;
const RECOVERY_SEALS = 1500;
/** With 200 sets the share of intervals of one parameter that hold the truth has an SE of 1.5 %, with these 1.1 %. */
const RECOVERY_SETS = 400;
/** As many as the server keeps for so many seals. */
const DRAWS = 40;

const rssMb = (): number => process.memoryUsage().rss / 2 ** 20;

function timed<T>(what: string, work: () => T, into: Figure[], target?: string): T {
  const [began, cpu] = [performance.now(), process.cpuUsage()];
  const result = work();
  const { user, system } = process.cpuUsage(cpu);
  into.push({ what, value: (performance.now() - began) / 1000, unit: 's', target });
  into.push({ what: `${what}, processor time`, value: (user + system) / 1e6, unit: 's' });
  into.push({ what: `memory after ${what}`, value: rssMb(), unit: 'MB' });
  return result;
}

/** Seals whose shares are written down in whole per cent; effects in the first columns, none in the rest, at the same cost. */
function invented() {
  const { data } = simulate({ seed: 1, seals: SEALS, inspectors: 24 });
  const covariates = Float64Array.from({ length: SEALS * COLUMNS }, (_, k) => {
    const [i, j] = [Math.floor(k / COLUMNS), k % COLUMNS];
    return j === 0 ? 1 : j < 3 ? data.covariates[2 * i + j - 1] : Math.sin(i * (j + 0.5));
  });
  const names = Array.from({ length: COLUMNS }, (_, j) => `column ${j}`);
  const readingShare = data.readingShare.map((share) => Math.round(100 * share) / 100);
  return { ...data, covariates, names, readingShare, intercept: false };
}

test('fits, draws and forecasts 100,000 seals with their shares, as the server does', async () => {
  const rows = invented();
  const options = { family: 'weibull' as const, prior: weakPrior(rows), failureThresholdShare: TRUTH.threshold };
  const figures: Figure[] = [
    { what: 'shares', value: rows.readingShare.length, unit: '' },
    { what: 'memory before', value: rssMb(), unit: 'MB' },
  ];
  const known = {
    ...rows,
    count: SEALS,
    soundAgeYears: rows.lower,
    planningAgeYears: rows.lower.map((age) => age + 1),
    foundFailedAgeYears: new Float64Array(SEALS).fill(Number.NaN),
  };
  const work = () => {
    const sampling = { draws: DRAWS, seed: 1, threads: TWO_THREADS };
    const { found, draw } = timed(
      'the fit, reading learnt',
      () => fitShares(rows, { ...options, ...sampling }),
      figures,
    );
    if (!found.used) throw new Error(found.sentence);
    const draws = timed('the draws', draw, figures);
    const ahead = { yearLeft: 0.5, horizonYears: 20 };
    return timed('the forecast of all', () => forecastCondition(known, draws, 'weibull', ahead), figures);
  };
  timed('all of it', work, figures, 'under 60 s');
  const { peakRssMb } = processUse(process.pid) ?? { peakRssMb: Number.NaN };
  await keepFigures('condition-speed', [...figures, { what: 'most memory', value: peakRssMb, unit: 'MB' }]);
});

test('recovers the truth of 400 simulated data sets', async () => {
  const { names, bias, covered, shiftsCovered } = recover(RECOVERY_SETS, RECOVERY_SEALS);
  const per = { unit: '%', target: '93 to 97 %' };
  await keepFigures('condition-recovery', [
    { what: 'data sets', value: RECOVERY_SETS, unit: '' },
    { what: 'seals in each data set', value: RECOVERY_SEALS, unit: '' },
    ...names.map((name, j) => ({
      what: `95 % intervals of ${name} that hold the truth`,
      value: 100 * covered[j],
      ...per,
    })),
    { what: '95 % intervals of the inspectors that hold the truth', value: 100 * shiftsCovered, ...per },
    ...names.map((name, j) => ({
      what: `bias of ${name}, in Monte Carlo standard errors`,
      value: bias[j],
      unit: '',
      target: 'within 3',
    })),
  ]);
});
