import { type ProgramProblem, WORK } from './program-problem.ts';

/**
 * Refuses a problem that no plan could be reckoned for.
 * @throws RangeError naming the field, what it was and what is allowed
 */
export function checkProblem(problem: ProgramProblem): void {
  const { count, years, types, facilities } = problem;
  whole('years', years, 1, 40);
  whole('count', count, 1, 10_000_000);
  if (!(problem.discountRatePerYear >= 0 && problem.discountRatePerYear < 1))
    refuse('discountRatePerYear', problem.discountRatePerYear, '0 or more, under 1');
  if (!(problem.minimumJobM >= 0)) refuse('minimumJobM', problem.minimumJobM, '0 or more');
  const sizes: [string, ArrayLike<number>, number][] = [
    ['lengthM', problem.lengthM, count],
    ['facility', problem.facility, count],
    ['district', problem.district, count],
    ['facilityKind', problem.facilityKind, count],
    ['type', problem.type, count],
    ['failedByYearEnd', problem.failedByYearEnd, count * years],
    ['finalCostIfNeverPerM', problem.finalCostIfNeverPerM, count],
    ['work', problem.work, count * years],
    ['requiredClass', problem.requiredClass, count],
    ['goneFromYear', problem.goneFromYear, count],
    ['types.curve', types.curve, types.count * types.classes],
    ['types.pricePerM', types.pricePerM, types.count * types.classes],
    ['types.openCostPerMYear', types.openCostPerMYear, types.count],
    ['types.finalCostPerM', types.finalCostPerM, types.count * types.classes * (years + 1)],
    ['facilities.mobilisationCost', facilities.mobilisationCost, facilities.count],
    ['facilities.district', facilities.district, facilities.count],
  ];
  for (const [name, values, length] of sizes)
    if (values.length !== length) refuse(`length of ${name}`, values.length, String(length));
  checkSegments(problem);
  checkTypes(problem);
  checkBounds(problem);
}

function checkSegments(problem: ProgramProblem): void {
  const { count, years, types, facilities } = problem;
  for (let i = 0; i < count; i++) {
    if (!(problem.lengthM[i] > 0 && problem.lengthM[i] < Number.POSITIVE_INFINITY))
      refuse(`lengthM of segment ${i}`, problem.lengthM[i], 'above 0');
    whole(`facility of segment ${i}`, problem.facility[i], 0, facilities.count - 1);
    whole(`type of segment ${i}`, problem.type[i], 0, types.count - 1);
    if (!Number.isFinite(problem.finalCostIfNeverPerM[i]))
      refuse(`finalCostIfNeverPerM of segment ${i}`, problem.finalCostIfNeverPerM[i], 'a number');
    for (let t = 0; t < years; t++) {
      const failed = problem.failedByYearEnd[i * years + t];
      if (!(failed >= 0 && failed <= 1)) refuse(`failedByYearEnd of segment ${i}, year ${t}`, failed, '0 to 1');
      if (problem.work[i * years + t] === WORK.required) checkRequired(problem, i, t);
    }
  }
}

function checkRequired(problem: ProgramProblem, i: number, t: number): void {
  const { types, type, requiredClass, goneFromYear } = problem;
  if (t >= goneFromYear[i]) refuse(`required work of segment ${i}`, t, `a year before ${goneFromYear[i]}`);
  const asked = requiredClass[i];
  const classes = Array.from({ length: types.classes }, (_, c) => c);
  const allowed = classes.filter((c) => types.curve[type[i] * types.classes + c] >= 0);
  if (allowed.length === 0 || (asked >= 0 && !allowed.includes(asked)))
    refuse(`requiredClass of segment ${i}`, asked, `one of ${allowed.join(', ') || 'none'}, or -1`);
}

function checkTypes({ types }: ProgramProblem): void {
  const curves = types.failedByAge.length / (types.oldestAge + 1);
  for (let k = 0; k < types.count * types.classes; k++) {
    if (types.curve[k] < 0) continue;
    const place = `of type ${Math.floor(k / types.classes)}, class ${k % types.classes}`;
    whole(`types.curve ${place}`, types.curve[k], -1, curves - 1);
    if (!(types.pricePerM[k] >= 0 && types.pricePerM[k] < Number.POSITIVE_INFINITY))
      refuse(`types.pricePerM ${place}`, types.pricePerM[k], '0 or more');
  }
  for (let e = 0; e < types.count; e++)
    if (!(types.openCostPerMYear[e] >= 0))
      refuse(`types.openCostPerMYear of type ${e}`, types.openCostPerMYear[e], '0 or more');
}

function checkBounds({ limits, targets, years, facilities }: ProgramProblem): void {
  for (let f = 0; f < facilities.count; f++)
    if (!(facilities.mobilisationCost[f] >= 0))
      refuse(`facilities.mobilisationCost of facility ${f}`, facilities.mobilisationCost[f], '0 or more');
  limits.forEach(({ year, atMost, atLeast }, row) => {
    whole(`year of limit ${row}`, year, 0, years - 1);
    if (atMost !== null && !(atMost >= 0)) refuse(`atMost of limit ${row}`, atMost, '0 or more, or null');
    if (atLeast !== null && !Number.isFinite(atLeast)) refuse(`atLeast of limit ${row}`, atLeast, 'a number, or null');
  });
  targets.forEach(({ year, atMostShare }, row) => {
    whole(`year of target ${row}`, year, 0, years - 1);
    if (!(atMostShare >= 0 && atMostShare <= 1)) refuse(`atMostShare of target ${row}`, atMostShare, '0 to 1');
  });
}

function whole(what: string, found: number, least: number, most: number): void {
  if (!Number.isInteger(found) || found < least || found > most)
    refuse(what, found, `a whole number, ${least} to ${most}`);
}

function refuse(what: string, found: number, allowed: string): never {
  throw new RangeError(`${what} is ${found}; allowed: ${allowed}`);
}
