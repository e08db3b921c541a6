import { seededRandom } from '../numeric/seeded-normals.ts';
import { MINUTES_PER_DAY } from './closure-plan.ts';
import { hasLag, type InsertOptions, insertFacility, PLAIN_INSERT, type Quota } from './insert-facility.ts';
import type { CrewShift } from './lay-work.ts';
import type { PackingIndex } from './packing-index.ts';
import { type FacilityPlan, isBetter, type PackingState, type Standing } from './packing-state.ts';
import { facilitiesAround, facilitiesWithWork } from './ruin-choice.ts';

export interface ImproveOptions {
  readonly seed: number;
  /** Facilities planned anew in all, at most: the measure of effort, so that the end does not hang on the clock. */
  readonly insertions: number;
  /** Slots to be taken first, in half of the trials. */ readonly quota: Quota | null;
  /** Weight beyond which more is not looked for. */ readonly enough: number;
  /** Looked at between trials: answers true to end and keep the best so far. */
  readonly stop: (now: { readonly spentShare: number; readonly best: Standing }) => boolean;
}

/** Weight left out counts this many times what placing it costs on average, while searching. */
const LEFT_OUT_FACTOR = 12;

/** What a unit of weight left out counts, while searching. */
export const leftOutCost = ({ index, cost, weight }: PackingState): number =>
  (LEFT_OUT_FACTOR * Math.max(cost, 1)) / Math.max(weight, index.totalWeight / 10);
/** Trials that take facilities out; the others take weeks out. */
const FACILITY_SHARE = 0.75;
/** Share of the cost by which a trial may be worse at the start and still be taken up. */
const START_TEMPERATURE = 0.002;

/**
 * Takes part of the schedule out and plans it anew in another order, with other numbers of crews and starts: some facilities
 * that exclude or need one another, or all that happens in some weeks. Worse trials are taken up now and then, ever less; the
 * best schedule met is kept. Simulated annealing over ruin and recreate (Schrimpf et al., J. Comput. Phys. 159, 2000).
 */
export function improveSchedule(state: PackingState, options: ImproveOptions): void {
  const { index } = state;
  const { uniform } = seededRandom(options.seed);
  const withWork = facilitiesWithWork(index);
  if (withWork.length === 0) return;
  const lagged = index.blocksOf.map((own) => hasLag(index, own));
  const search = { state, uniform, withWork, lagged, options, spent: 0 };
  const perWeight = leftOutCost(state);
  const enough = Math.min(options.enough, index.totalWeight);
  const searchScore = ({ weight, cost }: Standing) => cost + perWeight * Math.max(0, enough - weight);
  let best = { standing: state.standing, plans: [...state.plans] };
  while (search.spent < options.insertions) {
    const spentShare = search.spent / options.insertions;
    if (options.stop({ spentShare, best: best.standing })) break;
    const before = state.standing;
    const old = uniform() < FACILITY_SHARE ? ruinFacilities(search) : ruinWeeks(search);
    const temperature = START_TEMPERATURE * before.cost * (1 - spentShare);
    const worse = searchScore(state.standing) - searchScore(before);
    if (worse > -temperature * Math.log(1 - uniform()) + 1e-9) {
      restore(state, old);
      continue;
    }
    if (isBetter(state.standing, best.standing, enough)) best = { standing: state.standing, plans: [...state.plans] };
  }
  restore(
    state,
    best.plans.map((plan, facility) => ({ facility, plan })),
  );
}

interface Search {
  readonly state: PackingState;
  readonly uniform: () => number;
  readonly withWork: readonly number[];
  readonly lagged: readonly boolean[];
  readonly options: ImproveOptions;
  spent: number;
}

type OldPlan = { readonly facility: number; readonly plan: FacilityPlan | null };

function restore(state: PackingState, plans: readonly OldPlan[]): void {
  for (const { facility } of plans) state.remove(facility);
  for (const { plan } of plans) if (plan) state.apply(plan);
}

function ruinFacilities(search: Search): OldPlan[] {
  const { state, uniform, withWork } = search;
  const removed = facilitiesAround(state, withWork, uniform);
  const old = removed.map((facility): OldPlan => ({ facility, plan: state.remove(facility) }));
  for (const facility of removed) placeAnew(search, facility, []);
  return old;
}

const MOST_WEEKS = 3;

/** Takes out what happens in one to three weeks, of all facilities, and lets each find its closures again in turn. */
function ruinWeeks(search: Search): OldPlan[] {
  const { state, uniform } = search;
  const { slots, shifts, facilities } = state.index;
  const first = slots[Math.floor(uniform() * slots.length)].window.startMinute;
  const days = 7 * (1 + Math.floor(uniform() * MOST_WEEKS));
  const last = first + days * MINUTES_PER_DAY;
  const within = ({ shift }: CrewShift) => shifts[shift].startMinute >= first && shifts[shift].startMinute < last;
  const touched = facilities.flatMap((_, f) => (state.plans[f]?.crewShifts.some(within) ? f : []));
  const unplaced = search.withWork.filter((f) => !touched.includes(f) && hasLeft(state, f));
  const order = shuffled([...touched, ...unplaced], uniform);
  const old = order.map((facility): OldPlan => ({ facility, plan: state.remove(facility) }));
  // What stays is put back first, so that the places it needs are taken.
  old.forEach(({ facility, plan }) => {
    keepOnly(state, facility, plan?.crewShifts.filter((crewShift) => !within(crewShift)) ?? []);
  });
  for (const facility of order) placeAnew(search, facility, state.remove(facility)?.crewShifts ?? []);
  return old;
}

function keepOnly(state: PackingState, facility: number, kept: readonly CrewShift[]): void {
  if (kept.length === 0) return;
  const plan = insertFacility(state, facility, { ...PLAIN_INSERT, kept, keptOnly: true });
  if (plan) state.apply(plan);
}

export function hasLeft(state: PackingState, facility: number): boolean {
  const { blocksOf, blocks } = state.index;
  const done = state.plans[facility]?.laid.done;
  return blocksOf[facility].some((b, i) => (done?.[i] ?? 0) < blocks[b].block.pieces.length);
}

function placeAnew(search: Search, facility: number, kept: readonly CrewShift[]): void {
  const { state, uniform, options, lagged } = search;
  const trial = search.spent;
  const { mostCrews } = state.index.facilities[facility];
  const plain: InsertOptions = {
    bias: uniform() < 0.3 ? (slot) => 0.7 + 0.6 * jitter(slot, trial, options.seed) : PLAIN_INSERT.bias,
    mostCrews: uniform() < 0.25 ? 1 + Math.floor(uniform() * mostCrews) : Number.POSITIVE_INFINITY,
    fromMinute: Number.NEGATIVE_INFINITY,
    needyFirst: uniform() < 0.5,
    quota: uniform() < 0.5 ? options.quota : null,
    kept,
    keptOnly: false,
  };
  const starts =
    lagged[facility] && kept.length === 0 ? [0, 1, 2].map(() => startAt(state.index, facility, uniform)) : [];
  placeBest(state, facility, [plain, ...starts.map((fromMinute) => ({ ...plain, fromMinute }))]);
  search.spent += 1 + starts.length;
}

/** Tries some starts, which matters where joints are opened and sealed in turn, and keeps the best. */
function placeBest(state: PackingState, facility: number, trials: readonly InsertOptions[]): void {
  let best: { plan: FacilityPlan; standing: Standing } | null = null;
  for (const options of trials) {
    const plan = insertFacility(state, facility, options);
    if (!plan) continue;
    state.apply(plan);
    const { standing } = state;
    state.remove(facility);
    if (best === null || isBetter(standing, best.standing)) best = { plan, standing };
  }
  if (best) state.apply(best.plan);
}

/** The start of a slot drawn at random. */
function startAt(index: PackingIndex, facility: number, uniform: () => number): number {
  const own = index.slotsOf[facility];
  if (own.length === 0) return Number.NEGATIVE_INFINITY;
  return index.slots[own[Math.floor(uniform() * own.length)]].window.startMinute;
}

/** A number in [0, 1) that depends on the slot and the trial only. */
function jitter(slot: number, trial: number, seed: number): number {
  let mixed = Math.imul(slot + 1, 0x9e3779b1) ^ Math.imul(trial + 1, 0x85ebca6b) ^ Math.imul(seed + 1, 0xc2b2ae35);
  mixed = Math.imul(mixed ^ (mixed >>> 15), 0x2c1b3c6d);
  mixed = Math.imul(mixed ^ (mixed >>> 12), 0x297a2d39);
  return ((mixed ^ (mixed >>> 15)) >>> 0) / 4_294_967_296;
}

export function shuffled<T>(items: readonly T[], uniform: () => number): T[] {
  const mixed = [...items];
  for (let i = mixed.length - 1; i > 0; i--) {
    const j = Math.floor(uniform() * (i + 1));
    [mixed[i], mixed[j]] = [mixed[j], mixed[i]];
  }
  return mixed;
}
