import type { ClosureWindow, PackingProblem, WorkBlock } from '../../../../analytics/closures/closure-plan.ts';
import { costOf } from './check-schedule.ts';

/** The best that any schedule of a very small plan can do, found by trying them all. */
export interface BestFound {
  readonly weight: number;
  readonly cost: number;
}

interface Place {
  readonly window: ClosureWindow;
  readonly shift: number;
  readonly crew: string;
}

interface Given extends Place {
  readonly block: WorkBlock;
  readonly pass: number;
  readonly piece: number;
}

const meet = (a: { startMinute: number; endMinute: number }, b: { startMinute: number; endMinute: number }) =>
  Math.max(a.startMinute, b.startMinute) < Math.min(a.endMinute, b.endMinute);

/** Gives each pass of each piece a window, shift and crew in every way that keeps the rules, or leaves the rest of a block. */
export function exhaustiveSearch(problem: PackingProblem): BestFound {
  let best: BestFound = { weight: 0, cost: 0 };
  const places = problem.windows
    .filter((w) => mayClose(problem, w))
    .flatMap((window) =>
      window.shifts.flatMap((_, shift) => problem.crews.map(({ id }): Place => ({ window, shift, crew: id }))),
    )
    .sort((a, b) => a.window.shifts[a.shift].startMinute - b.window.shifts[b.shift].startMinute);
  const given: Given[] = [];
  const tryBlock = (b: number, weight: number): void => {
    if (b === problem.blocks.length) {
      if (weight < best.weight - 1e-9) return;
      const cost = cheapest(problem, given);
      if (cost === null) return;
      if (weight > best.weight + 1e-9 || cost < best.cost - 1e-9) best = { weight, cost };
      return;
    }
    tryPiece(b, 0, 0, weight);
  };
  const tryPiece = (b: number, piece: number, pass: number, weight: number): void => {
    const block = problem.blocks[b];
    if (pass === 0) tryBlock(b + 1, weight);
    if (piece === block.pieces.length) return;
    for (const place of places) {
      const next: Given = { ...place, block, pass, piece };
      if (!fits(problem, given, next)) continue;
      given.push(next);
      const more = block.pieces[piece].lengthM * block.weightPerM;
      if (pass + 1 < block.passes.length) tryPiece(b, piece, pass + 1, weight);
      else tryPiece(b, piece + 1, 0, weight + more);
      given.pop();
    }
  };
  tryBlock(0, 0);
  return best;
}

function mayClose(problem: PackingProblem, w: ClosureWindow): boolean {
  const f = problem.facilities.find((x) => x.id === w.facilityId);
  return (
    f !== undefined &&
    (f.earliestMinute === null || w.startMinute >= f.earliestMinute) &&
    (f.latestMinute === null || w.endMinute <= f.latestMinute) &&
    !problem.barred.some((b) => (b.facilityId ?? f.id) === f.id && meet(b, w))
  );
}

const shiftOf = (p: Place) => p.window.shifts[p.shift];
const sameShift = (a: Place, b: Place) => a.window === b.window && a.shift === b.shift;

function fits(problem: PackingProblem, given: readonly Given[], next: Given): boolean {
  const { block, window, crew } = next;
  const shift = shiftOf(next);
  if (block.facilityId !== window.facilityId || !(crew in block.passes[next.pass].minutesPerM)) return false;
  if ((window.chanceByGate[block.gateId] ?? 1) < problem.rules.leastChance) return false;
  if (block.earliestMinute !== null && shift.startMinute < block.earliestMinute) return false;
  if (block.latestMinute !== null && shift.endMinute > block.latestMinute) return false;
  if (problem.crews.find((c) => c.id === crew)?.unavailable.some((off) => meet(off, shift))) return false;
  const rest = problem.rules.restMinutes;
  for (const other of given) {
    if (other.window !== window && meet(other.window, window) && excluded(problem, other.window, window)) return false;
    if (other.crew === crew && !sameShift(other, next)) {
      const [a, b] = [shiftOf(other), shift];
      if (a.startMinute - rest < b.endMinute && b.startMinute < a.endMinute + rest) return false;
    }
  }
  const most = problem.facilities.find((f) => f.id === window.facilityId)?.mostCrews ?? 1;
  const crews = new Set([...given.filter((g) => sameShift(g, next)).map((g) => g.crew), crew]);
  if (crews.size > most) return false;
  return inOrder(given, next) && inTime(problem, [...given.filter((g) => sameShift(g, next) && g.crew === crew), next]);
}

const excluded = (problem: PackingProblem, a: ClosureWindow, b: ClosureWindow) =>
  a.facilityId === b.facilityId ||
  problem.exclusions.some(({ facilityIds: p }) => p.includes(a.facilityId) && p.includes(b.facilityId));

/** After the piece before, one run for each crew, and the lag since the pass before. */
function inOrder(given: readonly Given[], next: Given): boolean {
  const own = given.filter((g) => g.block === next.block && g.pass === next.pass);
  const last = own.at(-1);
  if (last && shiftOf(last).startMinute > shiftOf(next).startMinute) return false;
  if (last && last.crew !== next.crew && own.some((g) => sameShift(g, next) && g.crew === next.crew)) return false;
  const lag = next.block.passes[next.pass].afterPrevious;
  const open = given.find((g) => g.block === next.block && g.pass === next.pass - 1 && g.piece === next.piece);
  if (!lag || !open) return true;
  const [a, b] = [shiftOf(open), shiftOf(next)];
  return (
    b.startMinute >= a.endMinute + lag.leastMinutes &&
    b.endMinute <= a.endMinute + lag.mostMinutes &&
    (!lag.sameClosure || open.window === next.window)
  );
}

/** Whether a crew gets its work of a shift done, what must be ready sooner first. */
function inTime(problem: PackingProblem, work: readonly Given[]): boolean {
  const { window, shift } = work[0];
  const f = problem.facilities.find((x) => x.id === window.facilityId);
  const { startMinute, endMinute } = window.shifts[shift];
  const from = Math.max(startMinute, window.startMinute + (f?.setUpMinutes ?? 0));
  const jobs = work.map(({ block, pass, piece, crew }) => {
    const p = block.passes[pass];
    const lost = shift === 0 && window.clockChangeMinutes < 0 ? -window.clockChangeMinutes : 0;
    const to = Math.min(endMinute, window.endMinute - Math.max(f?.clearAwayMinutes ?? 0, p.openingMinutes));
    return { by: to - from - p.insideWaitMinutes - lost, minutes: block.pieces[piece].lengthM * p.minutesPerM[crew] };
  });
  jobs.sort((a, b) => a.by - b.by);
  let clock = 0;
  for (const { by, minutes } of jobs) {
    clock += minutes;
    if (clock > by + 1e-7) return false;
  }
  return true;
}

/** Cost with the cheapest closures for work in safety areas; null where there are none. */
function cheapest(problem: PackingProblem, given: readonly Given[]): number | null {
  const crewShifts = new Set(given.map((g) => `${g.window.id}/${g.shift}/${g.crew}`)).size;
  const needs = given.flatMap((g) => g.block.requiresClosed.map((id) => ({ id, span: shiftOf(g) })));
  let least: number | null = null;
  const extend = (closed: readonly ClosureWindow[], n: number): void => {
    if (n === needs.length) {
      const cost =
        costOf(
          problem,
          closed.map((w) => ({ windowId: w.id, facilityId: w.facilityId })),
        ) +
        crewShifts * problem.rules.crewShiftCost;
      if (least === null || cost < least) least = cost;
      return;
    }
    const { id, span } = needs[n];
    const lasts = (w: ClosureWindow) =>
      w.facilityId === id && w.startMinute <= span.startMinute && w.endMinute >= span.endMinute;
    if (closed.some(lasts)) {
      extend(closed, n + 1);
      return;
    }
    for (const w of problem.windows)
      if (lasts(w) && mayClose(problem, w) && !closed.some((c) => meet(c, w) && excluded(problem, c, w)))
        extend([...closed, w], n + 1);
  };
  extend([...new Set(given.map((g) => g.window))], 0);
  return least;
}
