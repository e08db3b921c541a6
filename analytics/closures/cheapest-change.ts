import type { ClosureWindow, PackingProblem, PlannedClosure } from './closure-plan.ts';
import { firstSchedule } from './first-schedule.ts';
import { improveSchedule } from './improve-schedule.ts';
import { packingIndex } from './packing-index.ts';
import type { PackingState } from './packing-state.ts';

/** Something that an operator could allow so that the work of one facility fits. */
export interface ChangeCandidate<T> {
  readonly what: T;
  readonly apply: (problem: PackingProblem) => PackingProblem;
  /** Windows to choose from, of which as few are asked for as will do; empty where the change is another. */
  readonly windows: readonly ClosureWindow[];
  /** What it counts, in closures of the facility, with so many of its windows. */ readonly cost: (
    windows: number,
  ) => number;
}

export interface FoundChange<T> {
  readonly what: T;
  /** Those of the candidate's windows that are needed. */ readonly windows: readonly ClosureWindow[];
  readonly cost: number;
  /** The problem with just this change made. */ readonly apply: (problem: PackingProblem) => PackingProblem;
}

/** Facilities planned anew in each trial. */
const INSERTIONS = 30;
/** Windows taken away one at a time, to see whether the rest will do. */
const MOST_LEFT_OUT = 6;

/**
 * The candidate that counts least of those with which all work of a facility fits, each tried by packing the facility anew
 * beside the closures of all others, which stay. null: none of them does.
 * @param stop looked at between candidates; true ends the search with the best so far
 */
export function cheapestChange<T>(
  problem: PackingProblem,
  closures: readonly PlannedClosure[],
  facilityId: string,
  candidates: readonly ChangeCandidate<T>[],
  stop: () => boolean = () => false,
): FoundChange<T> | null {
  const rest = facilityAlone(problem, closures, facilityId);
  const least = ({ cost, windows }: ChangeCandidate<T>) => cost(Math.min(1, windows.length));
  let best: FoundChange<T> | null = null;
  for (const candidate of [...candidates].sort((a, b) => least(a) - least(b))) {
    if (stop() || (best !== null && least(candidate) >= best.cost)) break;
    const found = tried(rest, candidate);
    if (found !== null && (best === null || found.cost < best.cost)) best = found;
  }
  return best;
}

function tried<T>(rest: PackingProblem, candidate: ChangeCandidate<T>): FoundChange<T> | null {
  const made = (windows: readonly ClosureWindow[]) => (problem: PackingProblem) =>
    withWindows(candidate.apply(problem), windows);
  const used = usedWindows(made(candidate.windows)(rest), candidate.windows);
  if (used === null) return null;
  let needed = used;
  for (let tries = 0; tries < MOST_LEFT_OUT && needed.length > 1; tries++) {
    const fewer = needed.slice(0, -1);
    const still = usedWindows(made(fewer)(rest), fewer);
    if (still === null) break;
    needed = still.length > 0 ? still : fewer;
  }
  const { what, cost } = candidate;
  return { what, windows: needed, cost: cost(needed.length), apply: made(needed) };
}

const withWindows = (problem: PackingProblem, windows: readonly ClosureWindow[]): PackingProblem => {
  const known = new Set(problem.windows.map(({ id }) => id));
  return { ...problem, windows: [...problem.windows, ...windows.filter(({ id }) => !known.has(id))] };
};

/** Those of some windows that a schedule with all of the work closes; null: the work does not fit. */
function usedWindows(problem: PackingProblem, windows: readonly ClosureWindow[]): ClosureWindow[] | null {
  const state = packedQuickly(problem);
  const { index } = state;
  if (state.weight < index.totalWeight * (1 - 1e-9)) return null;
  const asked = new Set(windows.map(({ id }) => id));
  const used = index.slots.filter((slot) => state.isClosed(slot.index) && asked.has(slot.window.id));
  return used.map(({ window }) => window);
}

function packedQuickly(problem: PackingProblem): PackingState {
  const state = firstSchedule(packingIndex(problem));
  const enough = state.index.totalWeight * (1 - 1e-9);
  const fits = () => state.weight >= enough;
  if (!fits() && state.index.slots.length > 0)
    improveSchedule(state, {
      seed: 1,
      insertions: INSERTIONS,
      quota: null,
      enough: Number.POSITIVE_INFINITY,
      stop: fits,
    });
  return state;
}

/** A window of the rules counts this much less than one that would have to be asked for. */
const KEEP_WEIGHT = 0.9;

/**
 * The work of one facility, to be planned anew beside all closures of others. Where others need it closed, its own closures
 * stay too, and only what has no closure is planned.
 */
export function facilityAlone(
  problem: PackingProblem,
  closures: readonly PlannedClosure[],
  facilityId: string,
): PackingProblem {
  const own = closures.filter((closure) => closure.facilityId === facilityId);
  const stays = own.some(({ closedFor }) => closedFor.length > 0);
  const released = (closure: PlannedClosure) =>
    !stays &&
    (closure.facilityId === facilityId ||
      (closure.tasks.length === 0 && closure.closedFor.every((id) => id === facilityId)));
  const kept = closures.filter((closure) => !released(closure));
  const done = new Set(stays ? own.flatMap(({ tasks }) => tasks.flatMap(({ pieceIds }) => pieceIds)) : []);
  const blocks = problem.blocks
    .filter((block) => block.facilityId === facilityId)
    .map((block) => ({ ...block, pieces: block.pieces.filter(({ id }) => !done.has(id)) }))
    .filter(({ pieces }) => pieces.length > 0);
  const needed = new Set([facilityId, ...blocks.flatMap(({ requiresClosed }) => requiresClosed)]);
  const windows = problem.windows.filter((window) => needed.has(window.facilityId));
  return {
    ...{ ...problem, blocks, windows },
    fixed: [...problem.fixed, ...kept],
    previous: windows,
    rules: { ...problem.rules, keepWeight: KEEP_WEIGHT },
  };
}
