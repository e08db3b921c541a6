import type { PackingProblem, WorkPass } from './closure-plan.ts';

/**
 * Refuses a problem that cannot be packed as it stands: names that are not known or come twice, numbers out of range.
 * @throws RangeError naming the record, what it was and what is allowed
 */
export function checkPackingProblem(problem: PackingProblem): void {
  const facilities = uniqueIds('facility', problem.facilities);
  const crews = uniqueIds('crew', problem.crews);
  uniqueIds('window', problem.windows);
  uniqueIds('block', problem.blocks);
  uniqueIds(
    'piece',
    problem.blocks.flatMap(({ pieces }) => pieces),
  );
  const known = (what: string, id: string) => {
    if (!facilities.has(id)) throw new RangeError(`${what} names facility ${id}; expected one of the facilities`);
  };
  for (const facility of problem.facilities) {
    inRange(`closureCost of ${facility.id}`, facility.closureCost, (cost) => cost > 0, 'above 0');
    inRange(`mostCrews of ${facility.id}`, facility.mostCrews, (n) => Number.isInteger(n) && n >= 1, '1 or more');
    inRange(`setUpMinutes of ${facility.id}`, facility.setUpMinutes, (m) => m >= 0, '0 or more');
    inRange(`clearAwayMinutes of ${facility.id}`, facility.clearAwayMinutes, (m) => m >= 0, '0 or more');
  }
  for (const window of problem.windows) {
    known(`window ${window.id}`, window.facilityId);
    checkShifts(window);
  }
  for (const { facilityIds } of problem.exclusions) {
    for (const id of facilityIds) known('an exclusion', id);
    if (facilityIds[0] === facilityIds[1]) throw new RangeError(`facility ${facilityIds[0]} excludes itself`);
  }
  for (const { name, facilityId } of problem.barred)
    if (facilityId !== null) known(`barred period ${name}`, facilityId);
  for (const block of problem.blocks) {
    known(`block ${block.id}`, block.facilityId);
    for (const id of block.requiresClosed) known(`block ${block.id}`, id);
    inRange(`weightPerM of ${block.id}`, block.weightPerM, (w) => w > 0, 'above 0');
    inRange(`passes of ${block.id}`, block.passes.length, (n) => n === 1 || n === 2, '1 or 2');
    for (const piece of block.pieces) inRange(`lengthM of ${piece.id}`, piece.lengthM, (m) => m > 0, 'above 0');
    for (const [p, pass] of block.passes.entries()) checkPass(`pass ${p + 1} of ${block.id}`, pass, p, crews);
  }
  checkRules(problem);
}

function checkPass(what: string, pass: WorkPass, p: number, crews: ReadonlySet<string>): void {
  for (const [crewId, minutes] of Object.entries(pass.minutesPerM)) {
    if (!crews.has(crewId)) throw new RangeError(`${what} names crew ${crewId}; expected one of the crews`);
    inRange(`minutesPerM of ${what}`, minutes, (m) => m > 0, 'above 0');
  }
  inRange(`insideWaitMinutes of ${what}`, pass.insideWaitMinutes, (m) => m >= 0, '0 or more');
  inRange(`openingMinutes of ${what}`, pass.openingMinutes, (m) => m >= 0, '0 or more');
  if ((pass.afterPrevious === null) !== (p === 0))
    throw new RangeError(`afterPrevious of ${what} is ${p === 0 ? 'given' : 'missing'}; expected in the second only`);
  if (pass.afterPrevious && !(pass.afterPrevious.mostMinutes >= pass.afterPrevious.leastMinutes))
    throw new RangeError(`mostMinutes of ${what} is less than leastMinutes`);
}

function checkShifts({ id, startMinute, endMinute, shifts }: PackingProblem['windows'][number]): void {
  if (!(endMinute > startMinute)) throw new RangeError(`window ${id} ends before it starts`);
  if (shifts.length === 0) throw new RangeError(`window ${id} has no shift; expected 1 or more`);
  let end = startMinute;
  for (const shift of shifts) {
    if (!(shift.startMinute >= end && shift.endMinute > shift.startMinute && shift.endMinute <= endMinute))
      throw new RangeError(`window ${id} has shifts out of order or outside of it`);
    end = shift.endMinute;
  }
}

function checkRules({ rules }: PackingProblem): void {
  inRange('restMinutes', rules.restMinutes, (m) => m >= 0, '0 or more');
  inRange('leastChance', rules.leastChance, (share) => share >= 0 && share <= 1, '0 to 1');
  inRange('latenessWeight', rules.latenessWeight, (w) => w >= 0, '0 or more');
  inRange('crewShiftCost', rules.crewShiftCost, (w) => w >= 0, '0 or more');
  inRange('keepWeight', rules.keepWeight, (w) => w >= 0 && w < 1, '0 to below 1');
  if (!rules.reserve) return;
  inRange('closuresPerReserve', rules.reserve.closuresPerReserve, (n) => n >= 1, '1 or more');
  inRange('withinDays', rules.reserve.withinDays, (n) => n > 0, 'above 0');
}

function inRange(what: string, value: number, fits: (value: number) => boolean, expected: string): void {
  if (!(Number.isFinite(value) && fits(value))) throw new RangeError(`${what} is ${value}; expected ${expected}`);
}

function uniqueIds(what: string, records: readonly { readonly id: string }[]): Set<string> {
  const ids = new Set<string>();
  for (const { id } of records) {
    if (ids.has(id)) throw new RangeError(`${what} ${id} comes twice`);
    ids.add(id);
  }
  return ids;
}
