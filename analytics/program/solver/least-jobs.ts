import { type ProgramProblem, WORK } from '../program-problem.ts';

/** Row-major, facilities x years: least length of a job there, m; no more than all that may be worked there that year. */
export function leastJobs(problem: ProgramProblem): Float64Array {
  const { count, years, facilities, facility, lengthM, work, goneFromYear, minimumJobM } = problem;
  const least = new Float64Array(facilities.count * years);
  if (!(minimumJobM > 0)) return least;
  for (let i = 0; i < count; i++) {
    const end = Math.min(years, goneFromYear[i]);
    for (let t = 0; t < end; t++) if (work[i * years + t] !== WORK.barred) least[facility[i] * years + t] += lengthM[i];
  }
  return least.map((all) => Math.min(minimumJobM, all));
}
