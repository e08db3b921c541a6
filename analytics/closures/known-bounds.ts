import type { ScheduleProof, ScheduleScore } from './closure-plan.ts';
import type { PackingIndex } from './packing-index.ts';
import type { Standing } from './packing-state.ts';
import type { CostBound } from './prove-schedule.ts';

const SURE = 1e-9;

/** What is proven of all schedules of a plan so far. */
export class KnownBounds {
  /** No schedule places more. */ mostWeight: number;
  /** The schedule at hand is the best. */ exact = false;
  private readonly gapShare: number;
  private readonly totalWeight: number;
  private readonly costBounds: CostBound[] = [];

  constructor(index: PackingIndex, gapShare: number) {
    this.gapShare = gapShare;
    this.totalWeight = index.totalWeight;
    this.mostWeight = placeableWeight(index);
  }

  /** Whether all work may fit, as far as is known. */
  get allMayFit(): boolean {
    return this.mostWeight >= this.totalWeight * (1 - SURE);
  }

  settle({ weight, cost }: Standing): void {
    this.exact = true;
    this.mostWeight = weight;
    this.costBounds.push({ weight, leastCost: cost, quota: null });
  }

  add(bound: CostBound): void {
    this.costBounds.push(bound);
  }

  /** A bound for less weight holds too, if less sharply; one for more does not. 0: nothing is proven. */
  leastCost(weight: number): number {
    return this.holdingFor(weight).reduce((most, { leastCost }) => Math.max(most, leastCost), 0);
  }

  /** The most weight, no more than this, for which a least cost was proven; 0: none. */
  provenWeight(weight: number): number {
    return this.holdingFor(weight).reduce((most, bound) => Math.max(most, bound.weight), 0);
  }

  private holdingFor(weight: number): CostBound[] {
    return this.costBounds.filter((bound) => bound.weight <= weight * (1 + SURE));
  }

  get quota(): CostBound['quota'] {
    return this.costBounds.at(-1)?.quota ?? null;
  }

  /** null while nothing is proven. */
  costGapShare({ weight, cost }: Standing): number | null {
    const least = this.leastCost(weight);
    return least > 0 ? gap(least, cost) : null;
  }

  isWithin(standing: Standing): boolean {
    const costGapShare = this.costGapShare(standing);
    if (costGapShare === null || costGapShare > this.gapShare) return false;
    return standing.weight >= this.mostWeight * (1 - this.gapShare);
  }

  proof({ placedWeight, cost }: ScheduleScore, cancelled: boolean): ScheduleProof {
    const mostPlacedWeight = Math.max(this.mostWeight, placedWeight);
    // Not clipped to the cost of the schedule: a bound above it would be wrong, and must be seen.
    const leastCost = this.leastCost(placedWeight);
    const workGapShare = mostPlacedWeight > 0 ? (mostPlacedWeight - placedWeight) / mostPlacedWeight : 0;
    const costGapShare = cost > 0 ? gap(leastCost, cost) : 0;
    const within = Math.max(workGapShare, costGapShare) <= this.gapShare;
    const optimal = Math.max(workGapShare, costGapShare) < 1e-6;
    const ended = optimal ? 'optimal' : within ? 'within-gap' : cancelled ? 'cancelled' : 'effort-spent';
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
