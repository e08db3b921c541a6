import { checkPackingProblem } from './check-packing-problem.ts';
import type { PackingProblem, Schedule, ScheduleProof, ScheduleScore } from './closure-plan.ts';
import { firstSchedule } from './first-schedule.ts';
import { improveSchedule } from './improve-schedule.ts';
import { type PackingIndex, packingIndex } from './packing-index.ts';
import type { PackingState, Standing } from './packing-state.ts';
import { type ProvenBounds, proveExactly, proveFluid } from './prove-schedule.ts';
import { withReserves } from './reserve-windows.ts';
import { plannedClosures, scoreOf } from './schedule-closures.ts';
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

/** For an airport: about a quarter of a minute of search and as much of proof at most. */
export const USUAL_PACKING: PackingOptions = { seed: 1, gapShare: 0.01, insertions: 20_000, iterations: 30_000 };

/**
 * Packs work into closures: as much of it as fits, then in as few, as early and as safe closures as can be. Small plans are
 * solved piece by piece and proven; larger ones are built, improved and held against a bound. The same problem and options
 * give the same schedule, whatever the machine.
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

class PackingSearch {
  private readonly index: PackingIndex;
  private readonly options: PackingOptions;
  private readonly state: PackingState;
  private bounds: ProvenBounds;
  private stage: PackingProgress['stage'] = 'first-schedule';
  private spentShare = 0;
  private cancelled = false;

  constructor(index: PackingIndex, options: PackingOptions) {
    this.index = index;
    this.options = options;
    this.state = firstSchedule(index);
    this.bounds = { mostWeight: placeableWeight(index), leastCost: 0, exact: false, quota: null };
  }

  async run(): Promise<void> {
    this.report(this.state.standing);
    const rounds = this.index.blocks.length > 0 && this.index.slots.length > 0;
    if (!rounds) return;
    this.improve(1, 1 / 8);
    if (this.isDone()) return;
    await this.prove();
    const provenFor = this.state.weight;
    if (this.isDone()) return;
    this.improve(2, 7 / 8);
    if (!this.cancelled && this.state.weight > provenFor * (1 + WORTH_PROVING)) await this.prove();
  }

  /** The bound of cost is for the weight placed now; it also holds when search places more later, if less sharply. */
  private async prove(): Promise<void> {
    this.stage = 'proving';
    const request = {
      index: this.index,
      state: this.state,
      gapShare: this.options.gapShare,
      iterations: this.options.iterations,
      stop: () => this.look(this.state.standing),
    };
    const exact = await proveExactly(request);
    this.bounds = exact ?? (await proveFluid(request, this.bounds.mostWeight));
  }

  private improve(seed: number, share: number): void {
    this.stage = 'improving';
    const from = this.spentShare;
    improveSchedule(this.state, {
      seed: this.options.seed * 1000 + seed,
      insertions: Math.round(this.options.insertions * share),
      quota: this.bounds.quota,
      stop: ({ spentShare, best }) => {
        this.spentShare = from + share * spentShare;
        return this.look(best) || this.isWithin(best);
      },
    });
  }

  /** Tells of progress; answers whether the work was called off. */
  private look(best: Standing): boolean {
    this.cancelled ||= this.options.cancelled?.() ?? false;
    this.report(best);
    return this.cancelled;
  }

  private report({ weight, cost }: Standing): void {
    const { leastCost } = this.bounds;
    this.options.onProgress?.({
      stage: this.stage,
      spentShare: this.spentShare,
      placedShare: this.index.totalWeight > 0 ? weight / this.index.totalWeight : 1,
      cost,
      costGapShare: leastCost > 0 ? gap(leastCost, cost) : null,
    });
  }

  private isWithin({ weight, cost }: Standing): boolean {
    const { mostWeight, leastCost } = this.bounds;
    return (
      leastCost > 0 &&
      weight >= mostWeight * (1 - this.options.gapShare) &&
      cost - leastCost <= this.options.gapShare * cost
    );
  }

  private isDone(): boolean {
    return this.cancelled || this.bounds.exact || this.isWithin(this.state.standing);
  }

  schedule(): Schedule {
    const { index, state } = this;
    const score = scoreOf(index, state.plans);
    const closures = withReserves(index.problem, plannedClosures(index, state.plans));
    return { closures, unplaced: unplacedWork(index, state), score, proof: this.proof(score) };
  }

  private proof({ placedWeight, cost }: ScheduleScore): ScheduleProof {
    const mostPlacedWeight = Math.max(this.bounds.mostWeight, placedWeight);
    const leastCost = Math.min(this.bounds.leastCost, cost);
    const workGapShare = mostPlacedWeight > 0 ? (mostPlacedWeight - placedWeight) / mostPlacedWeight : 0;
    const costGapShare = cost > 0 ? gap(leastCost, cost) : 0;
    const within = Math.max(workGapShare, costGapShare) <= this.options.gapShare;
    const optimal = Math.max(workGapShare, costGapShare) < 1e-6;
    const ended = optimal ? 'optimal' : within ? 'within-gap' : this.cancelled ? 'cancelled' : 'effort-spent';
    return { mostPlacedWeight, leastCost, workGapShare, costGapShare, ended };
  }
}

const gap = (least: number, cost: number): number => Math.max(0, (cost - least) / cost);

/** Weight of blocks that have any shift for each of their passes. */
function placeableWeight(index: PackingIndex): number {
  const found = index.blocks.map(({ block }) => block.passes.map(() => false));
  for (const { items } of index.shifts) for (const { block, pass } of items) found[block][pass] = true;
  return index.blocks.reduce((sum, { block, metresBefore }, b) => {
    return found[b].every(Boolean) ? sum + block.weightPerM * metresBefore[block.pieces.length] : sum;
  }, 0);
}
