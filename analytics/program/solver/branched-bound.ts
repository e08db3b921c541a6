import { type BoundRounds, FacilityBound } from './facility-bound.ts';
import type { FacilityPaths } from './facility-paths.ts';

export interface BranchEffort extends BoundRounds {
  /** Years decided at most, and rounds after each. */ readonly branches: number;
  readonly branchRounds: number;
}

/** Part of a facility's plans: some years are paid for whether worked in or not, in others there is no work. */
interface Branch {
  readonly low: number;
  readonly opened: readonly number[];
  readonly closed: readonly number[];
  readonly share: Float64Array;
  /** Year to be decided next; -1: none. */ readonly year: number;
}

/**
 * The bound of a facility, raised further by branch and bound: a year that segments disagree about is opened in one half of
 * the plans and closed in the other, and the lower of the two bounds holds for all.
 */
export class BranchedBound {
  readonly #paths: FacilityPaths;
  readonly #bound: FacilityBound;

  constructor(paths: FacilityPaths) {
    this.#paths = paths;
    this.#bound = new FacilityBound(paths);
  }

  /** As `FacilityBound.raise`. */
  raise(open: Uint8Array, mobilisation: Float64Array, known: number, effort: BranchEffort): number {
    const root = this.#bound.raise(open, mobilisation, known, effort);
    if (effort.branches === 0 || known - root <= effort.narrow) return root;
    const first = this.#branch({ low: root, opened: [], closed: [] }, mobilisation);
    const branches = [first];
    for (let k = 0; k < effort.branches; k++) {
      const at = lowest(branches);
      const { low, year } = branches[at];
      if (known - low <= effort.narrow || year < 0) break;
      const [parent] = branches.splice(at, 1);
      branches.push(this.#child(parent, true, mobilisation, known, effort));
      branches.push(this.#child(parent, false, mobilisation, known, effort));
    }
    return Math.min(known, branches[lowest(branches)].low);
  }

  #child(parent: Branch, opens: boolean, all: Float64Array, known: number, effort: BranchEffort): Branch {
    const opened = opens ? [...parent.opened, parent.year] : parent.opened;
    const closed = opens ? parent.closed : [...parent.closed, parent.year];
    const mobilisation = all.slice();
    let paid = 0;
    for (const t of opened) {
      paid += all[t];
      mobilisation[t] = 0;
    }
    for (const t of closed) mobilisation[t] = 0;
    const rights = this.#paths.may.slice();
    this.#close(closed);
    const rounds = { rounds: effort.branchRounds, narrow: effort.narrow };
    const found = this.#bound.resume(parent.share, mobilisation, known - paid, rounds) + paid;
    this.#paths.may.set(rights);
    return this.#branch({ low: Math.max(parent.low, found), opened, closed }, mobilisation);
  }

  #branch(part: Pick<Branch, 'low' | 'opened' | 'closed'>, mobilisation: Float64Array): Branch {
    return { ...part, share: this.#bound.shares(), year: this.#bound.undecided(mobilisation) };
  }

  #close(closed: readonly number[]): void {
    const { count, years, may } = this.#paths;
    for (const t of closed) for (let p = 0; p < count; p++) may[p * years + t] = 0;
  }
}

function lowest(branches: readonly Branch[]): number {
  let best = 0;
  for (let k = 1; k < branches.length; k++) if (branches[k].low < branches[best].low) best = k;
  return best;
}
