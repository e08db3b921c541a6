import type { Scenario } from '../../server/schemas/scenario.ts';
import type { ProgramPart, ProgramView } from './program-view.ts';

export const newestFirst = <S extends { readonly changedAt: string }>(changed: readonly S[]): S[] =>
  [...changed].sort((a, b) => (a.changedAt < b.changedAt ? 1 : a.changedAt > b.changedAt ? -1 : 0));

/** The scenario of the address; without one, that changed last which has a program, or that changed last. */
export function chosenScenario<S extends Pick<Scenario, 'id' | 'changedAt' | 'program'>>(
  scenarios: readonly S[],
  { scenarioId }: Pick<ProgramView, 'scenarioId'>,
): S | null {
  if (scenarioId !== null) return scenarios.find(({ id }) => id === scenarioId) ?? null;
  const ordered = newestFirst(scenarios);
  return ordered.find(({ program }) => program !== null) ?? ordered[0] ?? null;
}

/** The part of the address; without one, the answer where there is a program, else what it needs. */
export function partFor({ part }: Pick<ProgramView, 'part'>, scenario: Pick<Scenario, 'program'> | null): ProgramPart {
  if (scenario === null) return 'scenarios';
  return part ?? (scenario.program === null ? 'setup' : 'answer');
}
