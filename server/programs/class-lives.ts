import { type NewLives, newLives } from '../../analytics/forecast/new-lives.ts';
import { demandRatio } from '../../analytics/joint/movement-demand.ts';
import { seededRandom } from '../../analytics/numeric/seeded-normals.ts';
import type { PosteriorDraws } from '../../analytics/survival/aft.ts';
import { classPrior } from '../../analytics/survival/covariate-prior.ts';
import { classColumnName, type Design, writeDesignRow } from '../../analytics/survival/covariate-rows.ts';
import type { SealCovariates } from '../../analytics/survival/covariate-table.ts';
import { standardQuantile } from '../../analytics/survival/families.ts';
import { SEED } from '../forecasting/fit-network.ts';
import type { SealedSegment } from '../forecasting/knowledge.ts';
import { groupsInPlace } from '../forecasting/level-groupings.ts';
import { sharedEffects } from '../forecasting/shared-effects.ts';
import type { StoredModel } from '../forecasting/stored-model.ts';
import type { SealantClass } from '../schemas/words.ts';

/** A model that also has the lives of classes that it never met in the records. */
export interface ClassModel {
  readonly design: Design;
  readonly draws: PosteriorDraws;
  readonly family: StoredModel['family'];
  /** Effects of districts, facilities and lots, where the model has any. */ readonly levels: StoredModel['levels'];
}

/** Oldest age that new seals are followed to, years. */
export const OLDEST_AGE = 60;

/**
 * The model with a column more for each class that it has not met: its life is the prior's alone, and no record tells more of
 * it. The columns that there are keep their draws.
 */
export function withClasses(model: StoredModel, classes: readonly SealantClass[]): ClassModel {
  const { family, design, draws, levels } = model;
  const added = classes.filter((each) => !design.classes.includes(each));
  const all = [...design.classes, ...added];
  const [known, columns] = [design.classes.length, design.columns.length];
  const width = all.length + columns;
  const coefficients = new Float64Array(draws.draws * width);
  for (let d = 0; d < draws.draws; d++) {
    const from = draws.coefficients.subarray(d * (known + columns), (d + 1) * (known + columns));
    coefficients.set(from.subarray(0, known), d * width);
    coefficients.set(from.subarray(known), d * width + all.length);
  }
  const half = standardQuantile(family, 0.5);
  for (const [k, each] of added.entries()) {
    const { medianYears, logSd } = classPrior(each, model.priors?.classes);
    const { normal } = seededRandom(SEED + 1 + k);
    for (let d = 0; d < draws.draws; d++)
      coefficients[d * width + known + k] = Math.log(medianYears) - draws.scale[d] * half + logSd * normal();
  }
  const names = [...all.map(classColumnName), ...design.names.slice(known)];
  return { family, levels, design: { ...design, classes: all, names }, draws: { ...draws, coefficients } };
}

/** Covariates of a segment's next seal: as those of the one in place, but for what comes with the class. */
function resealedWith(covariates: SealCovariates, sealantClass: SealantClass): SealCovariates {
  const { movementOverCapability: demand } = covariates;
  const movementOverCapability = demand === null ? null : demand * demandRatio(covariates.sealantClass, sealantClass);
  return { ...covariates, sealantClass, movementOverCapability };
}

/** Life of a new seal of one class in every segment; of the class in place where none is named. */
export function livesOf(
  { design, draws, family, levels }: ClassModel,
  segments: readonly SealedSegment[],
  sealantClass: SealantClass | null,
): NewLives {
  const width = design.names.length;
  const rows = new Float64Array(segments.length * width);
  for (const [i, { inPlace }] of segments.entries()) {
    const covariates = sealantClass === null ? inPlace.covariates : resealedWith(inPlace.covariates, sealantClass);
    writeDesignRow(design, covariates, rows, i * width);
  }
  const shared = sharedEffects(
    levels,
    segments.map((segment) => ({ id: segment.id, groups: groupsInPlace(segment) })),
  );
  return newLives(rows, draws, family, OLDEST_AGE, shared);
}

/** Stands in the place of a class that is not used, so that the others keep their numbers. */
export const noLives = ({ design }: ClassModel, count: number): NewLives => ({
  curve: new Int32Array(count),
  failedByAge: new Float64Array(OLDEST_AGE + 1),
  oldestAge: OLDEST_AGE,
  rows: new Float64Array(design.names.length),
});
