import { checkPackingProblem } from './check-packing-problem.ts';
import type { PackingProblem, Schedule } from './closure-plan.ts';
import { firstSchedule } from './first-schedule.ts';
import { improveSchedule, leftOutCost } from './improve-schedule.ts';
import { hasLag } from './insert-facility.ts';
import { KnownBounds } from './known-bounds.ts';
import { type PackingIndex, packingIndex } from './packing-index.ts';
import { isBetter, type PackingState, type Standing } from './packing-state.ts';
import {
  finerGroups,
  groupsFor,
  type ProofRequest,
  proveExactly,
  proveLeastCost,
  proveMostWork,
} from './prove-schedule.ts';
import { rearranged } from './rearrange.ts';
import { withReserves } from './reserve-windows.ts';
import { plannedClosures, scoreOf } from './schedule-closures.ts';
import type { SlotGroups } from './slot-groups.ts';
import { unplacedWork } from './unplaced-work.ts';

export interface PackingProgress {
  readonly stage: 'first-schedule' | 'improving' | 'proving';
  /** Share of the effort spent, 0 to 1. */ readonly spentShare: number;
  /** Weight placed over all weight. */ readonly placedShare: number;
  readonly cost: number;
  /** null while nothing is proven. */ readonly costGapShare: number | null;
}

export interface PackingOptions {
  readonly seed: number;
  /** Ends once both gaps are no wider. */ readonly gapShare: number;
  /** Times that a facility is planned anew, in all: the effort of the search by improvement. */ readonly insertions: number;
  /** Simplex iterations of each proof at most. */ readonly iterations: number;
  readonly onProgress?: (progress: PackingProgress) => void;
  /** Looked at often; true ends the work with the best schedule so far. */ readonly cancelled?: () => boolean;
}

/** For an airport: at most about half a minute of search and as much of proof. */
export const USUAL_PACKING: PackingOptions = { seed: 1, gapShare: 0.01, insertions: 20_000, iterations: 30_000 };

/**
 * Packs work into closures: as much of it as fits, then in as few, as early and as safe closures as can be. Small plans are
 * solved piece by piece and proven. Larger ones are built, arranged after the best schedule with work as a fluid, improved and
 * held against its bounds; where not all work fits, up to 2 % of what could be placed is given up, little by little, while
 * its closures would be dearer than the gap allows. The same problem and options give the same schedule, whatever the machine.
 * @throws RangeError naming what is wrong with the problem
 */
export async function packClosures(problem: PackingProblem, options: Partial<PackingOptions> = {}): Promise<Schedule> {
  checkPackingProblem(problem);
  const search = new PackingSearch(packingIndex(problem), { ...USUAL_PACKING, ...options });
  await search.run();
  return search.schedule();
}

/** Share of weight placed since the last proof that makes another one worth its time. */
const WORTH_PROVING = 0.002;
/** Share by which a bound slot by slot must be sharper, so that all further ones are. */
const WORTH_TELLING_APART = 0.005;
/** Share of the insertions before the first proof. */
const FIRST_SHARE = 1 / 8;
/** Share of them after each rearrangement; more where that leaves facilities as they were. */
const ROUND_SHARE = { allFree: 1 / 8, someFree: 3 / 8 };
/** Where not all fits: work given up for cheaper closures in each round, as a share of the gap that is asked. */
const GIVEN_UP = [0.3, 1, 1.5];
const MOST_GIVEN_UP = 0.01;
/** Where all may fit. */
const MOST_ROUNDS = 2;

class PackingSearch {
  private readonly index: PackingIndex;
  private readonly options: PackingOptions;
  private readonly bounds: KnownBounds;
  private state: PackingState;
  private groups: SlotGroups;
  private stage: PackingProgress['stage'] = 'first-schedule';
  private spentShare = 0;
  private cancelled = false;

  constructor(index: PackingIndex, options: PackingOptions) {
    this.index = index;
    this.options = options;
    this.state = firstSchedule(index);
    this.groups = groupsFor(index);
    this.bounds = new KnownBounds(index, options.gapShare);
  }

  async run(): Promise<void> {
    this.report(this.state.standing);
    if (this.index.blocks.length === 0 || this.index.slots.length === 0) return;
    this.improve(1, { share: FIRST_SHARE, enough: Number.POSITIVE_INFINITY });
    if (this.isDone()) return;
    this.stage = 'proving';
    if (await proveExactly(this.request())) this.bounds.settle(this.state.standing);
    if (this.isDone()) return;
    await this.proveMost();
    const rounds = this.bounds.allMayFit ? MOST_ROUNDS : GIVEN_UP.length;
    for (let round = 0; round < rounds && !this.isDone(); round++) {
      await this.proveCost(this.aim(round));
      if (!this.isDone()) await this.rearrange(round);
    }
    await this.proveCost(this.state.weight);
  }

  private request(): ProofRequest {
    const { index, groups, state, options } = this;
    return { index, groups, state, ...options, stop: () => this.look(this.state.standing) };
  }

  /** Periods share crews out as if any of their nights would do; where that promises too much, slots are told apart. */
  private async proveMost(): Promise<void> {
    const { bounds, index } = this;
    bounds.mostWeight = await proveMostWork(this.request(), bounds.mostWeight);
    const isNear = this.state.weight >= bounds.mostWeight * (1 - this.options.gapShare);
    const finer = isNear || this.cancelled ? null : finerGroups(index, this.groups);
    if (!finer) return;
    const mostWeight = await proveMostWork({ ...this.request(), groups: finer }, bounds.mostWeight);
    if (mostWeight < bounds.mostWeight * (1 - WORTH_TELLING_APART)) this.groups = finer;
    bounds.mostWeight = mostWeight;
  }

  /** Weight to be placed before cost counts. */
  private aim(round: number): number {
    const { mostWeight, allMayFit } = this.bounds;
    if (allMayFit) return mostWeight;
    return mostWeight * (1 - GIVEN_UP[round] * Math.min(this.options.gapShare, MOST_GIVEN_UP));
  }

  /** Unless a bound for about as much weight is known. */
  private async proveCost(weight: number): Promise<void> {
    if (this.isDone() || weight <= this.bounds.provenWeight(weight) * (1 + WORTH_PROVING)) return;
    this.stage = 'proving';
    this.bounds.add(await proveLeastCost(this.request(), weight));
  }

  /** Facilities that open joints and seal them later keep their closures; the others take what the fluid schedule has. */
  private async rearrange(round: number): Promise<void> {
    this.stage = 'improving';
    const before = this.state;
    const weight = this.aim(round);
    const lagged = this.index.blocksOf.map((own) => hasLag(this.index, own));
    const someFree = lagged.includes(true);
    const next = await rearranged(before, {
      isFree: (facility) => !lagged[facility],
      mayUse: someFree ? () => true : this.inFluid(),
      weight,
      leftOutCost: leftOutCost(before),
      gapShare: this.options.gapShare / 3,
      iterations: this.options.iterations,
      stop: () => this.look(before.standing),
    });
    if (next) this.state = next;
    const share = next && !someFree ? ROUND_SHARE.allFree : ROUND_SHARE.someFree;
    this.improve(2 + round, { share, enough: weight });
    if (next && !this.isWorthMore(next, before, weight)) this.state = before;
  }

  /** Slots of periods in which the fluid schedule closes their facility. */
  private inFluid(): (slot: number) => boolean {
    const { quota } = this.bounds;
    return quota ? (slot) => quota.closures[quota.groupOfSlot[slot]] > 0 : () => true;
  }

  /** Work first; where not all fits, a little of it may be given up for much cheaper closures. */
  private isWorthMore(next: PackingState, before: PackingState, weight: number): boolean {
    if (isBetter(next.standing, before.standing, weight)) return true;
    const { allMayFit, mostWeight } = this.bounds;
    if (allMayFit || next.weight < mostWeight * (1 - 2 * Math.min(this.options.gapShare, MOST_GIVEN_UP))) return false;
    const price = leftOutCost(before);
    const score = (state: PackingState) => state.cost + price * Math.max(0, weight - state.weight);
    return score(next) < score(before);
  }

  private improve(seed: number, { share, enough }: { readonly share: number; readonly enough: number }): void {
    this.stage = 'improving';
    const from = this.spentShare;
    improveSchedule(this.state, {
      seed: this.options.seed * 1000 + seed,
      insertions: Math.round(this.options.insertions * share),
      quota: this.bounds.quota,
      enough,
      stop: ({ spentShare, best }) => {
        this.spentShare = Math.min(1, from + share * spentShare);
        return this.look(best) || this.bounds.isWithin(best);
      },
    });
  }

  /** Tells of progress; answers whether the work was called off. */
  private look(best: Standing): boolean {
    this.cancelled ||= this.options.cancelled?.() ?? false;
    this.report(best);
    return this.cancelled;
  }

  private report(standing: Standing): void {
    const { totalWeight } = this.index;
    this.options.onProgress?.({
      stage: this.stage,
      spentShare: this.spentShare,
      placedShare: totalWeight > 0 ? standing.weight / totalWeight : 1,
      cost: standing.cost,
      costGapShare: this.bounds.costGapShare(standing),
    });
  }

  private isDone(): boolean {
    return this.cancelled || this.bounds.exact || this.bounds.isWithin(this.state.standing);
  }

  schedule(): Schedule {
    const { index, state } = this;
    const score = scoreOf(index, state.plans);
    const closures = withReserves(index.problem, plannedClosures(index, state.plans));
    return { closures, unplaced: unplacedWork(index, state), score, proof: this.bounds.proof(score, this.cancelled) };
  }
}
