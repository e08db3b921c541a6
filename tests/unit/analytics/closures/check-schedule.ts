import type {
  ClosureWindow,
  PackingProblem,
  PlannedClosure,
  PlannedTask,
  Schedule,
  WorkBlock,
} from '../../../../analytics/closures/closure-plan.ts';

/**
 * Every rule of a schedule, checked anew from the problem alone. It takes types of the code under test and nothing else.
 * Answers one sentence for each rule that is broken.
 */
export function brokenRules(problem: PackingProblem, schedule: Schedule): string[] {
  return [
    ...windowRules(problem, schedule),
    ...exclusionRules(problem, schedule),
    ...taskRules(problem, schedule),
    ...crewRules(problem, schedule),
    ...orderRules(problem, schedule),
    ...safetyRules(problem, schedule),
    ...reserveRules(problem, schedule),
    ...sumRules(problem, schedule),
  ];
}

const EPS = 1e-5;
type Span = { readonly startMinute: number; readonly endMinute: number };
const meet = (a: Span, b: Span) => Math.max(a.startMinute, b.startMinute) < Math.min(a.endMinute, b.endMinute);
const inside = (inner: Span, outer: Span) =>
  inner.startMinute >= outer.startMinute && inner.endMinute <= outer.endMinute;

const blockOf = (problem: PackingProblem, id: string) => problem.blocks.find((b) => b.id === id) as WorkBlock;
const windowOf = (problem: PackingProblem, closure: PlannedClosure) =>
  problem.windows.find((w) => w.id === closure.windowId) as ClosureWindow;

function windowRules(problem: PackingProblem, { closures }: Schedule): string[] {
  const broken: string[] = [];
  for (const c of closures) {
    const w = problem.windows.find((x) => x.id === c.windowId);
    const f = problem.facilities.find((x) => x.id === c.facilityId);
    if (!w || !f || w.facilityId !== c.facilityId || w.startMinute !== c.startMinute || w.endMinute !== c.endMinute) {
      broken.push(`${c.id}: no such window`);
      continue;
    }
    if (f.earliestMinute !== null && c.startMinute < f.earliestMinute) broken.push(`${c.id}: before its notice`);
    if (f.latestMinute !== null && c.endMinute > f.latestMinute) broken.push(`${c.id}: after its latest date`);
    for (const b of problem.barred)
      if ((b.facilityId ?? c.facilityId) === c.facilityId && meet(b, c)) broken.push(`${c.id}: barred by ${b.name}`);
    if (c.openMinute > c.endMinute + EPS) broken.push(`${c.id}: opens late`);
    if (c.tasks.length === 0 && c.closedFor.length === 0) broken.push(`${c.id}: closed for nothing`);
  }
  return broken;
}

function exclusionRules(problem: PackingProblem, schedule: Schedule): string[] {
  const broken: string[] = [];
  const all = [...schedule.closures, ...problem.fixed];
  for (let i = 0; i < all.length; i++)
    for (let j = i + 1; j < all.length; j++) {
      const [a, b] = [all[i], all[j]];
      if (!meet(a, b)) continue;
      if (a.facilityId === b.facilityId) broken.push(`${a.id} and ${b.id}: one facility closed twice`);
      for (const { facilityIds: pair } of problem.exclusions)
        if (pair.includes(a.facilityId) && pair.includes(b.facilityId) && a.facilityId !== b.facilityId)
          broken.push(`${a.id} and ${b.id}: exclude one another`);
    }
  return broken;
}

/** Time, place and weather of each task; minutes of each crew in each shift. */
function taskRules(problem: PackingProblem, { closures }: Schedule): string[] {
  const broken: string[] = [];
  for (const c of closures) {
    const w = problem.windows.find((x) => x.id === c.windowId);
    const f = problem.facilities.find((x) => x.id === c.facilityId);
    if (!w || !f) continue;
    for (const t of c.tasks) {
      const block = blockOf(problem, t.blockId);
      const pass = block.passes[t.pass];
      const shift = w.shifts[t.shift];
      const say = (what: string) => broken.push(`${c.id} ${t.blockId}/${t.pass} by ${t.crewId}: ${what}`);
      if (block.facilityId !== c.facilityId) say('another facility');
      if ((w.chanceByGate[block.gateId] ?? 1) < problem.rules.leastChance) say('weather');
      if (block.earliestMinute !== null && shift.startMinute < block.earliestMinute) say('too early');
      if (block.latestMinute !== null && shift.endMinute > block.latestMinute) say('too late');
      if (pass.minutesPerM[t.crewId] === undefined) say('crew cannot');
      const metres = t.pieceIds.reduce(
        (s, id) => s + (block.pieces.find((p) => p.id === id)?.lengthM ?? Number.NaN),
        0,
      );
      if (Math.abs(metres - t.lengthM) > EPS) say('length');
      const takes = metres * pass.minutesPerM[t.crewId] + pass.insideWaitMinutes;
      if (Math.abs(t.endMinute - t.startMinute - takes) > EPS) say('duration');
      const lost = t.shift === 0 && w.clockChangeMinutes < 0 ? -w.clockChangeMinutes : 0;
      if (t.startMinute < Math.max(shift.startMinute, w.startMinute + f.setUpMinutes) - EPS) say('before set-up');
      if (t.endMinute + lost > shift.endMinute + EPS) say('after its shift');
      if (t.endMinute + lost + f.clearAwayMinutes > w.endMinute + EPS) say('no time to clear away');
      if (t.endMinute + lost + pass.openingMinutes > w.endMinute + EPS) say('seal not ready at opening');
      if (t.endMinute + Math.max(f.clearAwayMinutes, pass.openingMinutes) > c.openMinute + EPS)
        say('opens before ready');
    }
    for (let s = 0; s < w.shifts.length; s++) {
      const crews = new Set(c.tasks.filter((t) => t.shift === s).map((t) => t.crewId));
      if (crews.size > f.mostCrews) broken.push(`${c.id}: ${crews.size} crews`);
      for (const crew of crews) {
        const own = c.tasks
          .filter((t) => t.shift === s && t.crewId === crew)
          .sort((a, b) => a.startMinute - b.startMinute);
        for (let i = 1; i < own.length; i++) {
          const wait = blockOf(problem, own[i - 1].blockId).passes[own[i - 1].pass].insideWaitMinutes;
          if (own[i].startMinute < own[i - 1].endMinute - wait - EPS)
            broken.push(`${c.id}: ${crew} does two things at once`);
        }
      }
    }
  }
  return broken;
}

/** A crew is in one place, on duty and rested. */
function crewRules(problem: PackingProblem, schedule: Schedule): string[] {
  const broken: string[] = [];
  for (const crew of problem.crews) {
    const works: { where: string; span: Span }[] = [];
    for (const c of [...schedule.closures, ...problem.fixed])
      for (const s of new Set(c.tasks.filter((t) => t.crewId === crew.id).map((t) => t.shift)))
        works.push({ where: `${c.id} shift ${s}`, span: c.shifts[s] });
    works.sort((a, b) => a.span.startMinute - b.span.startMinute);
    for (let i = 1; i < works.length; i++)
      if (works[i].span.startMinute < works[i - 1].span.endMinute + problem.rules.restMinutes)
        broken.push(`${crew.id}: no rest between ${works[i - 1].where} and ${works[i].where}`);
    for (const { where, span } of works)
      if (crew.unavailable.some((off) => meet(off, span))) broken.push(`${crew.id}: away in ${where}`);
  }
  return broken;
}

interface Done {
  readonly closure: PlannedClosure;
  readonly task: PlannedTask;
  readonly shift: Span;
  readonly piece: number;
}

/** Pieces in order, each pass once, sealed after opened and in time. */
function orderRules(problem: PackingProblem, { closures, unplaced }: Schedule): string[] {
  const broken: string[] = [];
  for (const block of problem.blocks) {
    const perPass = block.passes.map((_, p): Done[] =>
      closures.flatMap((closure) =>
        closure.tasks
          .filter((t) => t.blockId === block.id && t.pass === p)
          .flatMap((task) => {
            const places = task.pieceIds.map((id) => block.pieces.findIndex((piece) => piece.id === id));
            places.forEach((at, i) => {
              if (i > 0 && at !== places[i - 1] + 1) broken.push(`${closure.id} ${block.id}: pieces out of order`);
            });
            return places.map((piece) => ({ closure, task, shift: closure.shifts[task.shift], piece }));
          }),
      ),
    );
    const left = new Set(unplaced.filter((u) => u.blockId === block.id).flatMap((u) => u.pieceIds));
    perPass.forEach((done, p) => {
      const seen = new Set(done.map((d) => d.piece));
      if (seen.size !== done.length) broken.push(`${block.id}/${p}: a piece twice`);
      block.pieces.forEach(({ id }, i) => {
        if (seen.has(i) === left.has(id))
          broken.push(`${block.id}/${p}: ${id} is ${left.has(id) ? 'both' : 'neither'} done and left`);
      });
      for (const a of done)
        for (const b of done)
          if (a.piece < b.piece && a.shift.startMinute > b.shift.startMinute)
            broken.push(`${block.id}/${p}: piece ${b.piece} before piece ${a.piece}`);
      const most = Math.max(-1, ...seen);
      if (most + 1 !== seen.size) broken.push(`${block.id}/${p}: a gap`);
      const spans = new Map<string, Set<number>>();
      for (const d of done) {
        const key = `${d.closure.id}/${d.task.shift}/${d.task.crewId}`;
        spans.set(key, (spans.get(key) ?? new Set()).add(d.piece));
      }
      for (const [key, set] of spans)
        if (Math.max(...set) - Math.min(...set) + 1 !== set.size) broken.push(`${key} ${block.id}: not one run`);
    });
    const lag = block.passes[1]?.afterPrevious;
    if (!lag) continue;
    for (const seal of perPass[1]) {
      const open = perPass[0].find((d) => d.piece === seal.piece);
      if (!open) {
        broken.push(`${block.id}: piece ${seal.piece} sealed and never opened`);
        continue;
      }
      if (seal.shift.startMinute < open.shift.endMinute + lag.leastMinutes) broken.push(`${block.id}: sealed wet`);
      if (seal.shift.endMinute > open.shift.endMinute + lag.mostMinutes) broken.push(`${block.id}: open too long`);
      if (lag.sameClosure && seal.closure.id !== open.closure.id) broken.push(`${block.id}: open joint under traffic`);
    }
  }
  return broken;
}

/** Facilities that must be closed are, and what is closed for others is needed. */
function safetyRules(problem: PackingProblem, { closures }: Schedule): string[] {
  const broken: string[] = [];
  const covers = (c: PlannedClosure, id: string, span: Span) => c.facilityId === id && inside(span, c);
  for (const c of closures)
    for (const t of c.tasks)
      for (const id of blockOf(problem, t.blockId).requiresClosed)
        if (![...closures, ...problem.fixed].some((other) => covers(other, id, c.shifts[t.shift])))
          broken.push(`${c.id} ${t.blockId}: ${id} is open`);
  for (const c of closures)
    for (const id of c.closedFor) {
      const needed = closures.some(
        (other) =>
          other.facilityId === id &&
          other.tasks.some(
            (t) =>
              blockOf(problem, t.blockId).requiresClosed.includes(c.facilityId) && inside(other.shifts[t.shift], c),
          ),
      );
      if (!needed) broken.push(`${c.id}: closed for ${id} without need`);
    }
  return broken;
}

function reserveRules(problem: PackingProblem, { closures }: Schedule): string[] {
  const broken: string[] = [];
  const { reserve } = problem.rules;
  const users = new Map<string, PlannedClosure[]>();
  for (const c of closures) {
    if (!c.reserve) continue;
    if (!reserve) broken.push(`${c.id}: a reserve that nobody asked for`);
    const key = `${c.reserve.facilityId}/${c.reserve.startMinute}/${c.reserve.endMinute}`;
    users.set(key, [...(users.get(key) ?? []), c]);
    if (c.reserve.facilityId !== c.facilityId || c.reserve.startMinute < c.endMinute) broken.push(`${c.id}: reserve`);
    if (reserve && c.reserve.startMinute > c.startMinute + reserve.withinDays * 1440)
      broken.push(`${c.id}: reserve late`);
    const known = problem.windows.some(
      (w) =>
        w.facilityId === c.reserve?.facilityId &&
        w.startMinute === c.reserve.startMinute &&
        w.endMinute === c.reserve.endMinute,
    );
    if (!known) broken.push(`${c.id}: reserve is no window`);
  }
  const held = [...users.values()].map(([c]) => c.reserve as Span & { facilityId: string });
  const excluded = (a: string, b: string) =>
    a === b || problem.exclusions.some(({ facilityIds: p }) => p.includes(a) && p.includes(b));
  held.forEach((r, i) => {
    for (const c of [...closures, ...problem.fixed])
      if (excluded(r.facilityId, c.facilityId) && meet(r, c)) broken.push(`reserve of ${r.facilityId} meets ${c.id}`);
    for (const other of held.slice(i + 1))
      if (excluded(r.facilityId, other.facilityId) && meet(r, other)) broken.push('two reserves meet');
  });
  for (const [key, list] of users)
    if (reserve && list.length > reserve.closuresPerReserve) broken.push(`reserve ${key} stands for ${list.length}`);
  return broken;
}

/** What a schedule is said to come to, summed by hand. */
function sumRules(problem: PackingProblem, { closures, unplaced, score, proof }: Schedule): string[] {
  const broken: string[] = [];
  const near = (what: string, told: number, found: number) => {
    if (Math.abs(told - found) > 1e-6 * (1 + Math.abs(found))) broken.push(`${what} is told as ${told}, is ${found}`);
  };
  const lengths = new Map(problem.blocks.flatMap((b) => b.pieces.map((p) => [p.id, [p.lengthM, b.weightPerM]])));
  const left = new Set(unplaced.flatMap((u) => u.pieceIds));
  let [metres, weight] = [0, 0];
  for (const [id, [lengthM, perM]] of lengths) {
    if (left.has(id)) continue;
    metres += lengthM;
    weight += lengthM * perM;
  }
  near('placedM', score.placedM, metres);
  near('placedWeight', score.placedWeight, weight);
  near('closures', score.closures, closures.length);
  const shifts = new Set(closures.flatMap((c) => c.tasks.map((t) => `${c.id}/${t.shift}/${t.crewId}`)));
  near('crewShifts', score.crewShifts, shifts.size);
  near('cost', score.cost, costOf(problem, closures) + shifts.size * problem.rules.crewShiftCost);
  if (proof.leastCost > score.cost * (1 + 1e-6) || proof.mostPlacedWeight < score.placedWeight * (1 - 1e-9))
    broken.push('proof is crossed');
  for (const u of unplaced)
    near(
      'length left',
      u.lengthM,
      u.pieceIds.reduce((s, id) => s + (lengths.get(id)?.[0] ?? Number.NaN), 0),
    );
  return broken;
}

/** Closure cost x lateness by weeks x what was planned before / least chance of the work that the window could hold. */
export function costOf(problem: PackingProblem, closures: readonly { windowId: string; facilityId: string }[]): number {
  const { rules } = problem;
  const first = Math.min(...problem.windows.map((w) => w.startMinute));
  const last = Math.max(...problem.windows.map((w) => w.startMinute));
  const weeks = Math.floor((last - first) / 10_080);
  let sum = 0;
  for (const c of closures) {
    const w = windowOf(problem, c as PlannedClosure);
    const f = problem.facilities.find((x) => x.id === c.facilityId);
    const week = Math.floor((w.startMinute - first) / 10_080);
    const chances = problem.blocks.filter((b) => couldHold(problem, b, w)).map((b) => w.chanceByGate[b.gateId] ?? 1);
    const kept = problem.previous.some(
      (p) => p.facilityId === w.facilityId && p.startMinute === w.startMinute && p.endMinute === w.endMinute,
    );
    sum +=
      ((f?.closureCost ?? Number.NaN) *
        (1 + (weeks > 0 ? (rules.latenessWeight * week) / weeks : 0)) *
        (kept ? 1 - rules.keepWeight : 1)) /
      Math.max(0.05, Math.min(1, ...chances));
  }
  return sum;
}

function couldHold(problem: PackingProblem, block: WorkBlock, w: ClosureWindow): boolean {
  if (block.facilityId !== w.facilityId || (w.chanceByGate[block.gateId] ?? 1) < problem.rules.leastChance)
    return false;
  const f = problem.facilities.find((x) => x.id === w.facilityId);
  return w.shifts.some((s, i) => {
    if (block.earliestMinute !== null && s.startMinute < block.earliestMinute) return false;
    if (block.latestMinute !== null && s.endMinute > block.latestMinute) return false;
    return block.passes.some((p) => {
      const from = Math.max(s.startMinute, w.startMinute + (f?.setUpMinutes ?? 0));
      const to = Math.min(s.endMinute, w.endMinute - Math.max(f?.clearAwayMinutes ?? 0, p.openingMinutes));
      const lost = i === 0 && w.clockChangeMinutes < 0 ? -w.clockChangeMinutes : 0;
      return to - from - p.insideWaitMinutes - lost > 0;
    });
  });
}
