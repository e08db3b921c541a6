import { type ProgramPlan, type ProgramProblem, WORK } from '../../../../../analytics/program/program-problem.ts';

/** Plain reckoning of what a plan costs and uses, straight from the words of `ProgramProblem`. */
export function reckon(problem: ProgramProblem, plan: ProgramPlan): { objective: number; keepsAll: boolean } {
  const { count, years, types, type, lengthM, facility, facilities, district } = problem;
  const works = [...plan.segment.keys()].map((w) => ({
    segment: plan.segment[w],
    year: plan.year[w],
    sealantClass: plan.sealantClass[w],
  }));
  const factor = (t: number) => 1 / (1 + problem.discountRatePerYear) ** t;
  const money = (w: (typeof works)[number]) =>
    types.pricePerM[type[w.segment] * types.classes + w.sealantClass] * lengthM[w.segment];
  const jobs = new Set(works.map((w) => facility[w.segment] * years + w.year));
  let spending = 0;
  for (const w of works) spending += money(w) * factor(w.year);
  for (const job of jobs) spending += facilities.mobilisationCost[Math.floor(job / years)] * factor(job % years);
  let risk = 0;
  const failedM = new Float64Array(count * years);
  for (let i = 0; i < count; i++) {
    const end = problem.goneFromYear[i];
    const own = works.filter((w) => w.segment === i);
    for (let t = 0; t < Math.min(end, years); t++) {
      const last = own.filter((w) => w.year <= t).at(-1);
      const k = last ? type[i] * types.classes + last.sealantClass : -1;
      const failed = last
        ? types.failedByAge[types.curve[k] * (types.oldestAge + 1) + t - last.year]
        : problem.failedByYearEnd[i * years + t];
      failedM[i * years + t] = failed * lengthM[i];
      risk += failed * lengthM[i] * types.openCostPerMYear[type[i]] * factor(t);
    }
    const last = own.at(-1);
    const age = last ? years - 1 - last.year : 0;
    const k = last ? type[i] * types.classes + last.sealantClass : 0;
    if (end >= years)
      risk +=
        lengthM[i] *
        (last ? types.finalCostPerM[k * (years + 1) + age] * factor(years - 1) : problem.finalCostIfNeverPerM[i]);
  }
  const within = (a: number, b: number) => a <= b + 1e-6 * Math.max(1, Math.abs(b));
  const limitsKept = problem.limits.every((limit) => {
    const here = (d: number) => limit.district === null || d === limit.district;
    let used = 0;
    for (const w of works)
      if (w.year === limit.year && here(district[w.segment]))
        used += limit.of === 'money' ? money(w) : lengthM[w.segment];
    if (limit.of === 'money')
      for (const job of jobs) {
        const f = Math.floor(job / years);
        if (job % years === limit.year && here(facilities.district[f])) used += facilities.mobilisationCost[f];
      }
    return within(used, limit.atMost ?? Number.POSITIVE_INFINITY) && within(limit.atLeast ?? 0, used);
  });
  const targetsKept = problem.targets.every(({ scope, index, year, atMostShare }) => {
    let [failed, all] = [0, 0];
    for (let i = 0; i < count; i++) {
      if (scope === 'district' && district[i] !== index) continue;
      if (scope === 'facility-kind' && problem.facilityKind[i] !== index) continue;
      failed += failedM[i * years + year];
      all += lengthM[i];
    }
    return all === 0 || within(failed / all, atMostShare);
  });
  const jobsKept = [...jobs].every((job) => {
    const [f, t] = [Math.floor(job / years), job % years];
    let [held, all] = [0, 0];
    for (const w of works) if (facility[w.segment] === f && w.year === t) held += lengthM[w.segment];
    for (let i = 0; i < count; i++)
      if (facility[i] === f && t < problem.goneFromYear[i] && problem.work[i * years + t] !== WORK.barred)
        all += lengthM[i];
    return held >= Math.min(problem.minimumJobM, all) * (1 - 1e-9);
  });
  const objective = problem.objective === 'least-cost' ? spending + risk : spending;
  return { objective, keepsAll: limitsKept && targetsKept && jobsKept && rightsKept(problem, works) };
}

function rightsKept(
  problem: ProgramProblem,
  works: { segment: number; year: number; sealantClass: number }[],
): boolean {
  const { count, years, work, requiredClass, types, type, goneFromYear } = problem;
  const allowed = works.every(
    (w) =>
      work[w.segment * years + w.year] !== WORK.barred &&
      w.year < goneFromYear[w.segment] &&
      types.curve[type[w.segment] * types.classes + w.sealantClass] >= 0,
  );
  for (let i = 0; i < count; i++)
    for (let t = 0; t < years; t++) {
      if (work[i * years + t] !== WORK.required) continue;
      const done = works.find((w) => w.segment === i && w.year === t);
      if (!done || (requiredClass[i] >= 0 && done.sealantClass !== requiredClass[i])) return false;
    }
  return allowed;
}

/** Least objective over every plan there is; null: none keeps the bounds. Only for a few segments in a few years. */
export function bestOfAll(problem: ProgramProblem): number | null {
  const { count, years, types } = problem;
  const choices = (types.classes + 1) ** years;
  let best: number | null = null;
  for (let code = 0; code < choices ** count; code++) {
    const works: { segment: number; year: number; sealantClass: number }[] = [];
    let rest = code;
    for (let segment = 0; segment < count; segment++)
      for (let year = 0; year < years; year++) {
        const choice = rest % (types.classes + 1);
        rest = Math.floor(rest / (types.classes + 1));
        if (choice > 0) works.push({ segment, year, sealantClass: choice - 1 });
      }
    const { objective, keepsAll } = reckon(problem, {
      segment: Int32Array.from(works, (w) => w.segment),
      year: Int32Array.from(works, (w) => w.year),
      sealantClass: Int32Array.from(works, (w) => w.sealantClass),
    });
    if (keepsAll && (best === null || objective < best)) best = objective;
  }
  return best;
}
