import type { LifeMixture } from '../../analytics/forecast/life-mixture.ts';
import { effectUnder, newSealEffects, type SharedEffects } from '../../analytics/forecast/shared-effects.ts';
import { seededRandom } from '../../analytics/numeric/seeded-normals.ts';
import { aftPrior, classPrior } from '../../analytics/survival/covariate-prior.ts';
import { writeDesignRow } from '../../analytics/survival/covariate-rows.ts';
import type { SealCovariates } from '../../analytics/survival/covariate-table.ts';
import { standardQuantile } from '../../analytics/survival/families.ts';
import { priorDraws } from '../../analytics/survival/prior-draws.ts';
import { SEED } from './fit-network.ts';
import { type GroupedSegment, levelSd, sharedEffects } from './shared-effects.ts';
import type { StoredModel } from './stored-model.ts';

/** Draws from the prior, where it speaks alone: many, since they cost little. */
const PRIOR_DRAWS = 1000;
/** Middles of so many equal parts of a normal distribution, for covariates that are not known. */
const UNKNOWN_PARTS = [-1.64485, -1.03643, -0.67449, -0.38532, -0.12566, 0.12566, 0.38532, 0.67449, 1.03643, 1.64485];

/** Life of a seal of one class by what is believed alone, no records. */
export function priorLife(model: Pick<StoredModel, 'family' | 'priors'>, sealantClass: string): LifeMixture {
  const { family, priors } = model;
  const prior = aftPrior(family, { classes: [sealantClass], columns: [] }, priors);
  const { coefficients, scale } = priorDraws(prior, family, { draws: PRIOR_DRAWS, seed: SEED });
  return { family, eta: coefficients, sigma: scale };
}

/** Life of some seal of the class somewhere in the network: by the records, covariates unknown. */
export function classLife(model: StoredModel, sealantClass: string): LifeMixture {
  const { family, design, draws } = model;
  const [width, classes] = [design.names.length, design.classes.length];
  const spread = spreadOf(model);
  const columns = design.columns.length;
  const eta = new Float64Array(draws.draws * UNKNOWN_PARTS.length);
  const average = averageRow(model, sealantClass);
  const between = levelSd(model.levels, draws.draws);
  for (let d = 0; d < draws.draws; d++) {
    const beta = draws.coefficients.subarray(d * width, (d + 1) * width);
    const centre = average.reduce((sum, x, k) => sum + x * beta[k], 0);
    let variance = 0;
    for (let j = 0; j < columns; j++)
      for (let k = 0; k < columns; k++) variance += beta[classes + j] * spread[j * columns + k] * beta[classes + k];
    const sd = Math.hypot(Math.sqrt(Math.max(0, variance)), between[d]);
    for (const [k, z] of UNKNOWN_PARTS.entries()) eta[d * UNKNOWN_PARTS.length + k] = centre + sd * z;
  }
  const sigma = Float64Array.from(eta, (_, at) => draws.scale[Math.floor(at / UNKNOWN_PARTS.length)]);
  return { family, eta, sigma };
}

/**
 * Life of a seal with these covariates from its installation. A class that the model has not met takes the life that was
 * believed of it. `which`: the seal in place is of its own lot, a new one of some other; both have the effects of their place.
 */
export function sealLife(
  model: StoredModel,
  covariates: SealCovariates,
  segment: GroupedSegment,
  which: 'in place' | 'new',
): LifeMixture {
  const { family, design, draws } = model;
  const known = design.classes.includes(covariates.sealantClass);
  const row = new Float64Array(design.names.length);
  writeDesignRow(design, known ? covariates : { ...covariates, sealantClass: design.classes[0] }, row, 0);
  if (!known) row.fill(0, 0, design.classes.length);
  const eta = Float64Array.from({ length: draws.draws }, (_, d) =>
    row.reduce((sum, x, k) => sum + x * draws.coefficients[d * row.length + k], 0),
  );
  if (!known) {
    const { medianYears, logSd } = classPrior(covariates.sealantClass, model.priors?.classes);
    const { normal } = seededRandom(SEED);
    const half = standardQuantile(family, 0.5);
    for (let d = 0; d < eta.length; d++) eta[d] += Math.log(medianYears) - draws.scale[d] * half + logSd * normal();
  }
  const shared = sharedEffects(model.levels, [segment]);
  if (shared) for (const [d, effect] of effectsOn(shared, which, draws.draws).entries()) eta[d] += effect;
  return { family, eta, sigma: draws.scale };
}

const effectsOn = (shared: SharedEffects, which: 'in place' | 'new', draws: number): Float64Array =>
  which === 'new'
    ? newSealEffects(shared, 0, draws)
    : Float64Array.from({ length: draws }, (_, d) => effectUnder(shared, 0, d, draws));

/** The design row of a class with every covariate at the network's average. */
function averageRow({ design }: StoredModel, sealantClass: string): Float64Array {
  return Float64Array.of(
    ...design.classes.map((name) => Number(name === sealantClass)),
    ...design.columns.map(({ fill, mean, sd }) => (fill - mean) / sd),
  );
}

/** Covariance of the columns over the network; of models that do not keep it, that of unrelated columns. */
function spreadOf({ design: { columns }, covariateSpread }: StoredModel): Float64Array {
  if (covariateSpread) return covariateSpread;
  const size = columns.length;
  const out = new Float64Array(size * size);
  for (const [k, { covariate, fill }] of columns.entries())
    out[k * size + k] = covariate.kind === 'switch' ? fill * (1 - fill) : 1;
  return out;
}
