import { test } from 'vitest';
import {
  allNeedsMetPlan,
  fixedCyclePlan,
  nothingPlan,
  PUBLISHED_CYCLE_YEARS,
  worstFirstPlan,
} from '../../analytics/program/baselines.ts';
import { programProblem } from '../../analytics/program/build-problem.ts';
import { evaluateProgram } from '../../analytics/program/evaluate-program.ts';
import type { ProgramLimit, ProgramPlan } from '../../analytics/program/program-problem.ts';
import { workReasons } from '../../analytics/program/work-reasons.ts';
import { inventedNetwork, TERMS } from '../unit/analytics/program/invented-network.ts';
import { type Figure, keepFigures } from './figures.ts';

const [COUNT, YEARS, DRAWS] = [100_000, 20, 200];
const figures: Figure[] = [];

function timed<T>(what: string, work: () => T, target?: string): T {
  const before = process.cpuUsage();
  const made = work();
  const { user, system } = process.cpuUsage(before);
  figures.push({ what, value: (user + system) / 1e6, unit: 's', target });
  return made;
}

test('what plans of 100,000 segments over 20 years come to, on 200 draws', async () => {
  const { input, sample, classInPlace } = timed('network: forecast, first failures of each draw', () =>
    inventedNetwork({ count: COUNT, years: YEARS, draws: DRAWS }),
  );
  const problem = timed('problem from plain numbers', () => programProblem(input));
  const limits = Array.from(
    { length: YEARS },
    (_, year): ProgramLimit => ({
      ...{ of: 'money', year, district: null },
      ...{ atMost: 100 * COUNT, atLeast: null },
    }),
  );
  const { ageYears } = input.inPlace;
  const cycleYears = [0, 1, 2].map(() => PUBLISHED_CYCLE_YEARS);
  const rules: Record<string, () => ProgramPlan> = {
    nothing: () => nothingPlan(problem),
    'worst first under a budget': () => worstFirstPlan({ ...problem, limits }),
    'fixed cycle': () => fixedCyclePlan(problem, { cycleYears, classInPlace, ageYears }),
    'all needs met': () => allNeedsMetPlan(problem),
  };
  for (const [rule, plan] of Object.entries(rules)) {
    const made = timed(`plan: ${rule}`, plan);
    timed(
      `what it comes to, ${made.segment.length} works`,
      () => evaluateProgram(problem, made, sample, TERMS),
      'some 10 s',
    );
    if (rule === 'all needs met') timed('the reasons of its works', () => workReasons(problem, made));
  }
  await keepFigures('program-outcome', figures);
});
