import { indexPlan, worksOf } from './plan-index.ts';
import type { PlanChange, PlannedWork } from './program-comparison.ts';
import type { ProgramPlan } from './program-problem.ts';

/**
 * What the second plan does otherwise than the first, segments numbered alike in both. Works of one year belong together;
 * of the others the first of one plan is taken for the first of the other, moved, and so on; what is left over was added or
 * dropped.
 * @param count segments
 */
export function planChanges(first: ProgramPlan, second: ProgramPlan, count: number): PlanChange[] {
  const [before, after] = [indexPlan(first, count), indexPlan(second, count)];
  const changes: PlanChange[] = [];
  for (let i = 0; i < count; i++) changes.push(...segmentChanges(i, worksOf(before, i), worksOf(after, i)));
  return changes;
}

function segmentChanges(segment: number, before: readonly PlannedWork[], after: readonly PlannedWork[]): PlanChange[] {
  const other = (works: readonly PlannedWork[], year: number) => works.find((work) => work.year === year) ?? null;
  const recast = before.flatMap((work): PlanChange[] => {
    const kept = other(after, work.year);
    const changed = kept !== null && kept.sealantClass !== work.sealantClass;
    return changed ? [{ segment, kind: 'other-class', before: work, after: kept }] : [];
  });
  const gone = before.filter(({ year }) => !other(after, year));
  const come = after.filter(({ year }) => !other(before, year));
  const rest = Array.from({ length: Math.max(gone.length, come.length) }, (_, k): PlanChange => {
    const [from, to] = [gone[k] ?? null, come[k] ?? null];
    return { segment, kind: from && to ? 'moved' : from ? 'dropped' : 'added', before: from, after: to };
  });
  const yearOf = (change: PlanChange) => (change.after ?? change.before)?.year ?? 0;
  return [...recast, ...rest].sort((a, b) => yearOf(a) - yearOf(b));
}
