import { test } from 'vitest';
import { readingModel } from '../../analytics/condition/condition.ts';
import { conditionDraws } from '../../analytics/condition/condition-draws.ts';
import { fitCondition } from '../../analytics/condition/fit-condition.ts';
import { forecastCondition } from '../../analytics/condition/forecast-condition.ts';
import { recover } from '../unit/analytics/condition/recovery.ts';
import { simulate, TRUTH } from '../unit/analytics/condition/simulate.ts';
import { type Figure, keepFigures } from './figures.ts';

const SEALS = 100_000;
const COLUMNS = 16;

function timed<T>(what: string, work: () => T, into: Figure[]): T {
  const [began, cpu] = [performance.now(), process.cpuUsage()];
  const result = work();
  const { user, system } = process.cpuUsage(cpu);
  into.push({ what, value: (performance.now() - began) / 1000, unit: 's' });
  into.push({ what: `${what}, processor time`, value: (user + system) / 1e6, unit: 's' });
  return result;
}

test('fits, draws and forecasts 100,000 seals with their shares in one thread', async () => {
  const { data } = simulate({ seed: 1, seals: SEALS, inspectors: 24 });
  // The first columns carry effects; the rest have none, and cost as much.
  const covariates = Float64Array.from({ length: SEALS * COLUMNS }, (_, k) => {
    const [i, j] = [Math.floor(k / COLUMNS), k % COLUMNS];
    return j === 0 ? 1 : j < 3 ? data.covariates[2 * i + j - 1] : Math.sin(i * (j + 0.5));
  });
  const names = Array.from({ length: COLUMNS }, (_, j) => `column ${j}`);
  const rows = { ...data, covariates, names, intercept: false };
  const options = { family: 'weibull' as const, prior: null, reading: readingModel(TRUTH.threshold) };
  const figures: Figure[] = [{ what: 'shares', value: data.readingShare.length, unit: '' }];
  const known = {
    ...rows,
    count: SEALS,
    soundAgeYears: data.lower,
    planningAgeYears: data.lower.map((age) => age + 1),
    foundFailedAgeYears: new Float64Array(SEALS).fill(Number.NaN),
  };
  timed(
    'fit, 200 draws and forecast of all',
    () => {
      const fit = timed('of which the fit', () => fitCondition(rows, options), figures);
      const draws = timed(
        'of which the draws',
        () => conditionDraws(rows, fit, { ...options, draws: 200, seed: 1 }),
        figures,
      );
      return forecastCondition(known, draws, 'weibull', { yearLeft: 0.5, horizonYears: 20 });
    },
    figures,
  );
  await keepFigures(
    'condition-speed',
    figures.map((figure) => (figure.what.startsWith('fit,') ? { ...figure, target: 'under 60 s' } : figure)),
  );
});

test('recovers the truth of 200 simulated data sets', async () => {
  const { names, bias, covered, shiftsCovered } = recover(200);
  const per = { unit: '%', target: '93 to 97 %' };
  await keepFigures('condition-recovery', [
    ...names.map((name, j) => ({
      what: `95 % intervals of ${name} that hold the truth`,
      value: 100 * covered[j],
      ...per,
    })),
    { what: '95 % intervals of the inspectors that hold the truth', value: 100 * shiftsCovered, ...per },
    ...names.map((name, j) => ({ what: `bias of ${name}, in Monte Carlo standard errors`, value: bias[j], unit: '' })),
  ]);
});
