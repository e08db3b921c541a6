import type { PlannedWork } from './program-comparison.ts';
import type { ProgramPlan } from './program-problem.ts';

/** Works of each segment, by year: entries `start[i]` to `start[i + 1]` of the sorted arrays. */
export interface PlanIndex {
  readonly start: Int32Array;
  readonly year: Int32Array;
  readonly sealantClass: Int32Array;
}

/**
 * Sorts a plan by segment and year.
 * @throws RangeError when two works of a segment fall in one year, or a segment does not exist
 */
export function indexPlan(plan: ProgramPlan, count: number): PlanIndex {
  const order = Array.from(plan.segment.keys()).sort(
    (a, b) => plan.segment[a] - plan.segment[b] || plan.year[a] - plan.year[b],
  );
  const start = new Int32Array(count + 1);
  for (const [at, entry] of order.entries()) {
    const segment = plan.segment[entry];
    if (!(segment >= 0 && segment < count)) throw new RangeError(`segment is ${segment}; expected 0 to ${count - 1}`);
    const before = order[at - 1];
    if (at > 0 && plan.segment[before] === segment && plan.year[before] === plan.year[entry])
      throw new RangeError(`Segment ${segment} has two works in year ${plan.year[entry]}; expected one`);
    start[segment + 1]++;
  }
  for (let i = 0; i < count; i++) start[i + 1] += start[i];
  return {
    start,
    year: Int32Array.from(order, (entry) => plan.year[entry]),
    sealantClass: Int32Array.from(order, (entry) => plan.sealantClass[entry]),
  };
}

export const worksOf = ({ start, year, sealantClass }: PlanIndex, i: number): PlannedWork[] =>
  Array.from({ length: start[i + 1] - start[i] }, (_, k) => ({
    year: year[start[i] + k],
    sealantClass: sealantClass[start[i] + k],
  }));

/** A plan from the works of each segment, ordered by segment, then year. */
export function planFromWorks(works: readonly (readonly PlannedWork[])[]): ProgramPlan {
  const count = works.reduce((sum, list) => sum + list.length, 0);
  const [segment, year, sealantClass] = [new Int32Array(count), new Int32Array(count), new Int32Array(count)];
  let at = 0;
  works.forEach((list, i) => {
    for (const work of list) {
      segment[at] = i;
      year[at] = work.year;
      sealantClass[at++] = work.sealantClass;
    }
  });
  return { segment, year, sealantClass };
}
