import type { ConditionDraws, GrowthDraws } from './condition.ts';
import type { GrowthPoint } from './seal-integrand.ts';

/** Between mean and stand-in on either side, in SDs of mu: the nodes of a Gauss-Hermite rule of three points. */
const NODE = Math.sqrt(3);
const MEAN = 0;
const HIGHER_MU = 1;
const LOWER_MU = 2;
const FIRST_OF_OTHERS = 3;
/** What the mean over the draws takes of the first points, by that rule; all others even out over the draws. */
export const MEAN_SHARES: readonly number[] = [2 / 3, 1 / 6, 1 / 6];

/** One point of the parameters with its mean log life. */
export interface StandIn {
  mu: number;
  point: GrowthPoint;
}

/** One parameter that segments share, apart from mu. */
interface Direction {
  /** The mean of the draws, one SD up in this parameter. */ readonly point: GrowthPoint;
  /** Of each draw, in SDs from the mean. */ readonly distance: Float64Array;
}

/**
 * A few points of the parameters that stand for all draws of a segment. Where draws lie close together a chance is nearly
 * quadratic in mu and linear in all else, so under a draw it is the chance at their mean plus, weighted by how far the draw
 * is, what the chance gains from there to each of the other points.
 */
export class StandIns {
  /** The mean first; `count` of them count. */ readonly points: StandIn[] = [];
  /** Of each point but the first, one for each draw; the mean has what is left to 1. */
  readonly weights: Float64Array[];
  count = 0;
  private readonly mean: GrowthPoint;
  private readonly shared: readonly Direction[];
  private readonly growth: GrowthDraws;
  /** Made when first asked for; null: all draws have the same shift. */
  private readonly ofInspectors = new Map<number, Direction | null>();
  private readonly muDistance: Float64Array;

  constructor(draws: ConditionDraws, growth: GrowthDraws) {
    this.growth = growth;
    const eachDraw = () => new Float64Array(draws.draws);
    this.muDistance = eachDraw();
    this.weights = [eachDraw(), eachDraw(), eachDraw()];
    const [sigma, ofExponent, ofReadingSd] = [draws.scale, growth.exponent, growth.readingSd].map(spreadOf);
    const mean: GrowthPoint = {
      sigma: sigma.mean,
      exponent: ofExponent.mean,
      readingSd: ofReadingSd.mean,
      shift: Float64Array.from({ length: growth.inspectors }, (_, k) => spreadOf(this.shiftsOf(k)).mean),
    };
    this.mean = mean;
    const others = [
      { spread: sigma, point: { ...mean, sigma: sigma.mean + sigma.sd } },
      { spread: ofExponent, point: { ...mean, exponent: ofExponent.mean + ofExponent.sd } },
      { spread: ofReadingSd, point: { ...mean, readingSd: ofReadingSd.mean + ofReadingSd.sd } },
    ];
    this.shared = others.flatMap(({ spread, point }) => (spread.sd > 0 ? [{ point, distance: spread.distance }] : []));
  }

  /** Turns to a segment. @param mus mean log life under each draw @param inspectors who read its shares, each once */
  turnTo(mus: Float64Array, inspectors: Iterable<number>): void {
    const { mean, muDistance } = this;
    const { mean: mu, sd } = spreadInto(muDistance, mus);
    this.setPoint(MEAN, mu, mean);
    this.setPoint(HIGHER_MU, mu + NODE * sd, mean);
    this.setPoint(LOWER_MU, mu - NODE * sd, mean);
    for (let d = 0; d < muDistance.length; d++) {
      const t = muDistance[d] / NODE;
      this.weights[HIGHER_MU][d] = 0.5 * t * (t + 1);
      this.weights[LOWER_MU][d] = 0.5 * t * (t - 1);
    }
    this.count = FIRST_OF_OTHERS;
    for (const direction of this.shared) this.use(direction, mu);
    for (const k of inspectors) {
      const direction = this.directionOf(k);
      if (direction) this.use(direction, mu);
    }
  }

  private use({ point, distance }: Direction, mu: number): void {
    this.setPoint(this.count, mu, point);
    this.weights[this.count++] = distance;
  }

  private directionOf(inspector: number): Direction | null {
    const known = this.ofInspectors.get(inspector);
    if (known !== undefined) return known;
    const { mean } = this;
    const { mean: centre, sd, distance } = spreadOf(this.shiftsOf(inspector));
    const direction = sd > 0 ? { point: { ...mean, shift: mean.shift.with(inspector, centre + sd) }, distance } : null;
    this.ofInspectors.set(inspector, direction);
    return direction;
  }

  /** Of one inspector, one for each draw; empty for one that the fit did not know, who has none. */
  private shiftsOf(inspector: number): Float64Array {
    const { inspectors, inspectorShift } = this.growth;
    return inspector < inspectors
      ? Float64Array.from(this.muDistance, (_, d) => inspectorShift[d * inspectors + inspector])
      : new Float64Array(0);
  }

  private setPoint(k: number, mu: number, point: GrowthPoint): void {
    this.points[k] ??= { mu, point };
    this.points[k].mu = mu;
    this.points[k].point = point;
  }
}

function spreadOf(values: Float64Array) {
  const distance = new Float64Array(values.length);
  return { ...spreadInto(distance, values), distance };
}

/** Mean and SD; writes how many SDs each value lies above the mean, 0 where all are the same. */
function spreadInto(distance: Float64Array, values: Float64Array): { readonly mean: number; readonly sd: number } {
  const n = values.length;
  let mean = 0;
  for (let d = 0; d < n; d++) mean += values[d] / n;
  let square = 0;
  for (let d = 0; d < n; d++) square += (values[d] - mean) ** 2 / n;
  const sd = Math.sqrt(square) < 1e-12 * (1 + Math.abs(mean)) ? 0 : Math.sqrt(square);
  for (let d = 0; d < n; d++) distance[d] = sd > 0 ? (values[d] - mean) / sd : 0;
  return { mean, sd };
}
