import { type SeededRandom, seededRandom } from '../numeric/seeded-normals.ts';
import type { Family, PosteriorDraws } from '../survival/aft.ts';
import { conditionalSurvivalInto, type LifeDraw } from './conditional-kernel.ts';
import type { FirstFailures } from './first-failures.ts';
import { gammaDraw } from './gamma-draw.ts';
import { renewalsByYear } from './renewal.ts';
import type { SegmentKnowledge } from './segment-mixture.ts';
import { type SurvivalTable, survivalTable } from './standard-life.ts';
import type { YearShocks } from './year-shocks.ts';
import { addRenewalsInYears, YearRatios } from './years-in-totals.ts';

/** Segments that share district, class and unit price. */
export interface DueGroup {
  readonly district: number;
  readonly sealantClass: number;
  /** NaN: no price. */ readonly costPerM: number;
  readonly members: readonly number[];
}

export interface DueGroupOptions {
  readonly firstFailures: FirstFailures;
  readonly horizonYears: number;
  readonly seed: number;
  /** Share of the planning year that lies ahead of the planning date. */ readonly yearLeft: number;
  /** Years that are hard or easy on all segments alike; left out: all years are average. */
  readonly yearShocks?: YearShocks | null;
}

/** Log mean lives closer than this share one renewal calculation; their length-weighted mean stands for them. */
const NODE_WIDTH = 0.1;
const MOST_NODES = 64;
/** Less than this is none: the tail of a gamma variable ends in numbers too small to keep their digits. */
const LEAST_LENGTH_M = 1e-6;

/**
 * Length falling due in one group, by draw and year: first failures, then the failures of what was resealed, then chance.
 * Result: row-major, draws x years. Segment by segment for all draws, so that what is worked out once for a segment stays in
 * the processor's nearest cache.
 */
export class DueGroupRun {
  private readonly table: SurvivalTable;
  private readonly years: number;
  private readonly random: SeededRandom;
  private readonly newAges: Float64Array;
  private readonly newSurvival: Float64Array;
  private readonly lives: Float64Array;
  private readonly first: FirstFailures;
  /** One for each draw. */ private readonly nodes: readonly NodeSums[];
  private readonly foundFailedAgeYears: Float64Array;
  private readonly lengthM: Float64Array;
  /** One for each draw. */ private readonly newLotSd: Float64Array | null;
  private readonly shocks: YearShocks | null;
  private readonly ratios: YearRatios | null;
  private readonly draws: PosteriorDraws;
  private readonly draw: LifeDraw = { eta: 0, perSigma: 1 };

  constructor(
    known: Pick<SegmentKnowledge, 'foundFailedAgeYears' | 'soundAgeYears' | 'planningAgeYears' | 'shared'> & {
      lengthM: Float64Array;
    },
    draws: PosteriorDraws,
    family: Family,
    { firstFailures, horizonYears, seed, yearLeft, yearShocks }: DueGroupOptions,
  ) {
    const { foundFailedAgeYears, lengthM, shared } = known;
    this.foundFailedAgeYears = foundFailedAgeYears;
    this.lengthM = lengthM;
    this.newLotSd = shared?.newSealSd ?? null;
    this.draws = draws;
    this.first = firstFailures;
    this.table = survivalTable(family);
    this.years = horizonYears + 1;
    this.shocks = yearShocks ?? null;
    this.ratios = yearShocks ? new YearRatios(known, yearShocks, { yearLeft, years: this.years }) : null;
    this.random = seededRandom(seed);
    this.newAges = Float64Array.from({ length: this.years }, (_, n) => Math.log(n));
    this.newSurvival = new Float64Array(this.years);
    this.lives = new Float64Array(this.years);
    this.nodes = Array.from({ length: draws.draws }, () => new NodeSums(this.years));
  }

  /** `afterEach`: called when the first failures of a segment, not known to have failed, have been gone through. */
  run(members: readonly number[], afterEach?: (i: number) => void): Float64Array {
    const { nodes, years } = this;
    const { draws, scale } = this.draws;
    this.beginNodes(members);
    this.ratios?.begin(members.length);
    for (const i of members) this.addSegment(i, afterEach);
    const out = new Float64Array(draws * years);
    nodes.forEach((sums, d) => {
      if (this.ratios) sums.scale(this.ratios, d);
      sums.end();
      this.finishDraw(out, d, { perSigma: 1 / scale[d], newLotSd: this.newLotSd?.[d] ?? 0 }, sums);
    });
    return out;
  }

  private beginNodes(members: readonly number[]): void {
    const low = new Float64Array(this.nodes.length).fill(Number.POSITIVE_INFINITY);
    const high = new Float64Array(this.nodes.length).fill(Number.NEGATIVE_INFINITY);
    for (const i of members) {
      const etas = this.first.etasOf(i);
      for (let d = 0; d < etas.length; d++) {
        if (etas[d] < low[d]) low[d] = etas[d];
        if (etas[d] > high[d]) high[d] = etas[d];
      }
    }
    this.nodes.forEach((sums, d) => {
      sums.begin(low[d], high[d]);
    });
  }

  private addSegment(i: number, afterEach?: (i: number) => void): void {
    const { nodes, first } = this;
    const lengthM = this.lengthM[i];
    const ratios = this.ratios?.turnTo(i) ? this.ratios : null;
    if (!Number.isNaN(this.foundFailedAgeYears[i])) {
      const etas = first.etasOf(i);
      for (let d = 0; d < etas.length; d++) nodes[d].addKnownFailed(etas[d], lengthM);
      ratios?.addKnownFailed(lengthM);
      return;
    }
    first.eachDraw(i, (d, eta, failed, share, firstEnd) => {
      nodes[d].add(eta, lengthM, failed, share, firstEnd);
      ratios?.add(d, lengthM, failed, share, firstEnd);
    });
    afterEach?.(i);
  }

  /** Adds to first failures the renewals that follow them, and chance: lengths of one draw. */
  private finishDraw(
    out: Float64Array,
    d: number,
    { perSigma, newLotSd }: { readonly perSigma: number; readonly newLotSd: number },
    nodes: NodeSums,
  ): void {
    const { years, newAges, newSurvival, lives, draw, table, random, shocks } = this;
    const mean = new Float64Array(years);
    for (let node = 0; node < nodes.count; node++) {
      if (!(nodes.weight[node] > 0)) continue;
      draw.eta = nodes.weightedEta[node] / nodes.weight[node];
      // What is resealed in a district in one class, with like lives, is of one lot: its effect is drawn once.
      if (newLotSd > 0) draw.eta += newLotSd * random.normal();
      draw.perSigma = perSigma;
      conditionalSurvivalInto(newSurvival, newAges, 0, years, Number.NEGATIVE_INFINITY, draw, table);
      if (shocks) {
        addRenewalsInYears(mean, { first: nodes.length, at: node * years }, newSurvival, shocks, d);
        continue;
      }
      for (let n = 1; n < years; n++) lives[n] = newSurvival[n - 1] - newSurvival[n];
      const renewals = renewalsByYear(lives);
      addWithRenewals(mean, nodes.length, node * years, renewals);
    }
    for (let y = 0; y < years; y++) {
      const renewed = mean[y] - nodes.firstFailures[y];
      const variance = nodes.firstVariance[y] + Math.max(0, renewed) * nodes.typicalLengthM;
      const lengthM = gammaDraw(mean[y], Math.max(0, variance), random);
      out[d * years + y] = lengthM < LEAST_LENGTH_M ? 0 : lengthM;
    }
  }
}

function addWithRenewals(sums: Float64Array, first: Float64Array, at: number, renewals: Float64Array): void {
  for (let y = 0; y < sums.length; y++) {
    let sum = first[at + y];
    for (let k = 0; k < y; k++) sum += first[at + k] * renewals[y - k];
    sums[y] += sum;
  }
}

/**
 * Sums over the segments of a group, for one draw: of length x chance (by node and year), and of the variance L² p (1 - p) of
 * first failures (by year). Renewed length gets the variance of segments of the typical length sum L² / sum L, as if each
 * failed on its own: its chances a year are small.
 */
class NodeSums {
  count = 0;
  typicalLengthM = 0;
  readonly weight = new Float64Array(MOST_NODES);
  readonly weightedEta = new Float64Array(MOST_NODES);
  readonly length: Float64Array;
  readonly firstFailures: Float64Array;
  readonly firstVariance: Float64Array;
  private lengthSum = 0;
  private squareSum = 0;
  private fromEta = 0;
  private perEta = 0;
  private readonly years: number;

  constructor(years: number) {
    this.years = years;
    this.length = new Float64Array(MOST_NODES * years);
    this.firstFailures = new Float64Array(years);
    this.firstVariance = new Float64Array(years);
  }

  /** `low`, `high`: least and greatest log mean life of the group. */
  begin(low: number, high: number): void {
    this.count = Math.min(MOST_NODES, 1 + Math.floor((high - low) / NODE_WIDTH));
    this.fromEta = low;
    this.perEta = high > low ? (this.count * (1 - 1e-12)) / (high - low) : 0;
    this.weight.fill(0, 0, this.count);
    this.weightedEta.fill(0, 0, this.count);
    this.length.fill(0, 0, this.count * this.years);
    this.firstVariance.fill(0);
    this.lengthSum = 0;
    this.squareSum = 0;
  }

  private nodeOf(eta: number, lengthM: number): number {
    const node = Math.min(this.count - 1, ((eta - this.fromEta) * this.perEta) | 0);
    this.weight[node] += lengthM;
    this.weightedEta[node] += lengthM * eta;
    this.lengthSum += lengthM;
    this.squareSum += lengthM * lengthM;
    return node * this.years;
  }

  /**
   * `failed[from..]`, times `share`: failed by the end of each year. What failed by the first year end falls due in the
   * first year.
   */
  add(eta: number, lengthM: number, failed: Float64Array, share: number, from: number): void {
    const { years, length, firstVariance } = this;
    const at = this.nodeOf(eta, lengthM);
    const scale = lengthM * share;
    let before = 0;
    for (let y = 0; y < years; y++) {
      const now = failed[from + y];
      const due = scale * (now - before);
      before = now;
      length[at + y] += due;
      firstVariance[y] += due * (lengthM - due);
    }
  }

  addKnownFailed(eta: number, lengthM: number): void {
    this.length[this.nodeOf(eta, lengthM)] += lengthM;
  }

  /** Lengths of average years become those of draw `d`, chance with them. */
  scale(ratios: YearRatios, d: number): void {
    for (let y = 0; y < this.years; y++) {
      const ratio = ratios.ratio(d, y);
      for (let node = 0; node < this.count; node++) this.length[node * this.years + y] *= ratio;
      this.firstVariance[y] *= ratio;
    }
  }

  /** Sums over nodes, once all segments are in. */
  end(): void {
    this.typicalLengthM = this.lengthSum > 0 ? this.squareSum / this.lengthSum : 0;
    this.firstFailures.fill(0);
    for (let i = 0; i < this.count * this.years; i++) this.firstFailures[i % this.years] += this.length[i];
  }
}
