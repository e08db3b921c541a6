import { test } from 'vitest';
import { solveProgram } from '../../analytics/program/solve-program.ts';
import { exactSolve } from '../../analytics/program/solver/exact-solve.ts';
import { rowSet } from '../../analytics/program/solver/row-set.ts';
import { type Figure, keepFigures } from './figures.ts';
import { inventedProgram } from './invented-program.ts';

const OPTIONS = { gapShare: 0, rounds: 60 };
const YEARS = 20;
/** Budgets of two thirds of what all joints would need in the long run. */
const BUDGET_SHARE = 0.65;

const NETWORK = { years: YEARS, seed: 1, budgetShare: BUDGET_SHARE };
/** So that a few hundred segments are many facilities, as in a network: a whole job is then small beside a year's budget. */
const SHORT_FACILITIES = [4, 12] as const;

interface Timed<T> {
  readonly answer: T;
  readonly seconds: number;
  readonly cpuSeconds: number;
}

async function timed<T>(work: () => Promise<T>): Promise<Timed<T>> {
  const [start, cpu] = [performance.now(), process.cpuUsage()];
  const answer = await work();
  const { user, system } = process.cpuUsage(cpu);
  return { answer, seconds: (performance.now() - start) / 1000, cpuSeconds: (user + system) / 1e6 };
}

async function solved(segments: number, within: string): Promise<Figure[]> {
  const problem = inventedProgram({ ...NETWORK, segments });
  const { answer, seconds, cpuSeconds } = await timed(() => solveProgram(problem, OPTIONS));
  const size = `${segments.toLocaleString('en')} segments`;
  return [
    { what: `${size}: gap to the proven bound`, value: 100 * (answer.gapShare ?? 1), unit: '%', target: 'under 0.5 %' },
    { what: `${size}: seconds`, value: seconds, unit: 's', target: within },
    { what: `${size}: processor time`, value: cpuSeconds, unit: 's' },
    {
      what: `${size}: most memory so far`,
      value: process.resourceUsage().maxRSS / 1024,
      unit: 'MB',
      target: 'under 4,000 MB',
    },
  ];
}

/** The bound beside the optimum of the linear relaxation by a general solver, about which a bound by prices lies. */
async function besideLinear(segments: number): Promise<Figure[]> {
  const problem = inventedProgram({ ...NETWORK, segments, facilitySegments: SHORT_FACILITIES });
  const rows = rowSet(problem);
  const search = { elastic: false, most: rows.most, nodes: 0, gapShare: 0, relaxed: true };
  const linear = await timed(() => exactSolve(problem, rows, search));
  const own = await timed(() => solveProgram(problem, OPTIONS));
  const size = `${segments} segments`;
  const short = 100 * (1 - own.answer.bound / linear.answer.bound);
  const over = 100 * (own.answer.objective / linear.answer.bound - 1);
  return [
    { what: `${size}: linear relaxation by HiGHS, interior points`, value: linear.cpuSeconds, unit: 's' },
    { what: `${size}: program and bound by prices`, value: own.cpuSeconds, unit: 's' },
    { what: `${size}: bound below the linear optimum by`, value: short, unit: '%' },
    { what: `${size}: program above the linear optimum by`, value: over, unit: '%' },
  ];
}

test('programs of 20 years, 3 classes, 2 districts with yearly budgets and shared mobilisation', async () => {
  const figures = [
    ...(await besideLinear(400)),
    ...(await solved(100_000, 'under 60 s')),
    ...(await solved(1_000_000, 'under 300 s')),
  ];
  await keepFigures('program', figures);
});
