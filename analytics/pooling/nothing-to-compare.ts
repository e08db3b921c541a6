import type { AftData, AftFit } from '../survival/aft.ts';
import { type Counts, levelEffects } from './level-effects.ts';
import type { PooledFit, PooledGrouping } from './pooled-fit.ts';
import type { Grouping } from './pooled-rows.ts';

/** Levels that any row belongs to. */
export const levelsInUse = ({ index }: Grouping): number => {
  const seen = new Set(index);
  seen.delete(-1);
  return seen.size;
};

const plainCounts = (grouping: Grouping, { weight, upper }: AftData): Counts & { unknown: number } => {
  const size = grouping.levels.length;
  const seals = new Float64Array(size);
  const failures = new Float64Array(size);
  let unknown = 0;
  grouping.index.forEach((level, i) => {
    if (level < 0) unknown += weight[i];
    else {
      seals[level] += weight[i];
      if (upper[i] < Infinity) failures[level] += weight[i];
    }
  });
  return { seals, failures, expected: null, fitted: null, unknown };
};

/** A grouping that takes no part in the fit. */
export function oneLevel(grouping: Grouping, data: AftData, level: number): PooledGrouping {
  const counts = plainCounts(grouping, data);
  const inUse = levelsInUse(grouping);
  const sentence =
    inUse === 0
      ? `No seal has its ${grouping.name} on record, so there is nothing to compare.`
      : `Only one ${grouping.name} is on record, so there is nothing to compare it with.`;
  return {
    name: grouping.name,
    sd: null,
    sdLower: null,
    sdUpper: null,
    levels: levelEffects(grouping.levels, null, null, counts, level),
    unknownSeals: counts.unknown,
    sentence,
  };
}

/** The plain fit has no maximum, so there is nothing to pool around. */
export function withoutEffects(plain: AftFit, data: AftData, groupings: readonly Grouping[], level: number): PooledFit {
  const reason = plain.warnings[0] ?? 'The search for the spread between levels failed; use a prior.';
  return {
    family: plain.family,
    names: plain.names,
    coefficients: plain.coefficients,
    coefficientErrors: null,
    scale: plain.scale,
    marginalLogLikelihood: null,
    groupings: groupings.map((grouping) => {
      const only = oneLevel(grouping, data, level);
      if (levelsInUse(grouping) < 2) return only;
      return {
        ...only,
        sentence: `The ${grouping.levels.length} levels of ${grouping.name} cannot be compared. ${reason}`,
      };
    }),
    level,
    observations: plain.observations,
    failures: plain.failures,
    iterations: plain.iterations,
    converged: false,
    status: plain.converged ? 'nonconcave' : plain.status,
    warnings: plain.converged ? [reason] : plain.warnings,
    droppedNames: plain.droppedNames,
  };
}
