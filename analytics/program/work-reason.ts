/** What the sentence for one work rests on. Money is constant money valued in the planning year. */
export interface WorkReason {
  readonly segment: number;
  readonly year: number;
  readonly sealantClass: number;
  /** Chance of having failed by the end of that year without the work. */ readonly failedChance: number;
  /**
   * What the segment costs more when this work comes one year later; below 0: waiting is cheaper. null: it cannot wait, as
   * the horizon ends or another work follows. Without mobilisation, which neighbours share.
   */
  readonly savedAgainstWaiting: number | null;
  /** What the segment costs more without this work; its later works stay. */ readonly savedAgainstNever: number;
  /** Other works of the facility in that year. */ readonly neighbours: number;
  /** Mobilisation of that facility-year, in constant money of the year. */ readonly mobilisationCost: number;
  /**
   * Year of the segment's first work were there no limits and no mobilisation; null: none in the horizon. Only for the
   * first work of a segment, null for later ones.
   */
  readonly cheapestYear: number | null;
  /**
   * Why it is there: `committed` settled beforehand; `least-job` waiting is cheaper, but the job would be too small without
   * it; `shared-closure` waiting is cheaper, but it saves a closure of its own; `worth-it` waiting costs more;
   * `limits` waiting is cheaper for the segment alone: limits or targets placed it.
   */
  readonly because: 'committed' | 'least-job' | 'shared-closure' | 'worth-it' | 'limits';
}
