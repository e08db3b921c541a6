import type { Family, PosteriorDraws } from '../survival/aft.ts';
import { type AgeGrid, ageGrid } from './age-grid.ts';
import { type ForecastOptions, type SegmentKnowledge, SegmentMixture } from './segment-mixture.ts';

/**
 * Chances that the seal in place fails first by some day, draw by draw, so that sums over a network keep what all segments
 * share. Whatever model the chances come from, all its forecasts of a segment rest on the same ones.
 */
export interface FirstFailures {
  /**
   * Mean log life of a new seal of segment `i`, but for the effect of its lot, one entry for each draw; used again for the
   * next segment.
   */
  etasOf(i: number): Float64Array;
  /**
   * Hands out, draw by draw, what has failed by year ends: `failed[at + y]` times `share`, y = 0 for the end of the planning
   * year. `failed` is used again for the next draw. Not for a seal that is known to have failed.
   */
  eachDraw(i: number, visit: FirstFailureVisit): void;
  /** Chance of having failed by the planning date, one entry for each draw; used again for the next segment. */
  failedNowOf(i: number): Float64Array;
}

export type FirstFailureVisit = (draw: number, eta: number, failed: Float64Array, share: number, at: number) => void;

/** First failures by the life model, soundness at the last look and, with a damage rule, the share at that look. */
export class RuleFirstFailures implements FirstFailures {
  private readonly mixture: SegmentMixture;
  private readonly grid: AgeGrid;
  private readonly now: Float64Array;

  constructor(known: SegmentKnowledge, draws: PosteriorDraws, family: Family, options: ForecastOptions) {
    this.grid = ageGrid(options.yearLeft, options.horizonYears);
    this.mixture = new SegmentMixture(known, draws, family, this.grid, options);
    this.now = new Float64Array(draws.draws);
  }

  etasOf(i: number): Float64Array {
    return this.mixture.etasOf(i);
  }

  eachDraw(i: number, visit: FirstFailureVisit): void {
    const { mixture, grid } = this;
    const firstEnd = grid.nowAt + 1;
    const [from, to] = mixture.turnTo(i) ? [0, grid.length] : [firstEnd, firstEnd + grid.yearEnds];
    mixture.eachDraw(from, to, (d, eta, failed, share) => {
      visit(d, eta, failed, share, firstEnd);
    });
  }

  failedNowOf(i: number): Float64Array {
    const { mixture, grid, now } = this;
    const [from, to] = mixture.turnTo(i) ? [0, grid.length] : [grid.nowAt, grid.nowAt + 1];
    mixture.eachDraw(from, to, (d, _eta, failed, share) => {
      now[d] = Math.min(1, Math.max(0, failed[grid.nowAt] * share));
    });
    return now;
  }
}
