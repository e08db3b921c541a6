import {
  CLASS_PRIORS,
  type ClassPrior,
  factorOfLogSd,
  type LifePriors,
  logSdOfFactor,
  PUBLISHED_PRIORS,
} from '../../analytics/survival/covariate-prior.ts';
import type { ClassBelief, EffectBelief, Priors, ShapeBelief } from '../schemas/priors.ts';
import { SEALANT_CLASSES, type SealantClass } from '../schemas/words.ts';

/** What is believed as the fit takes it; `null`: all as published. */
export function lifePriors(priors: Priors | null): LifePriors {
  if (!priors) return PUBLISHED_PRIORS;
  const { effects, shape } = priors;
  const own = Object.entries(priors.classes).map(([name, belief]) => [name, classPriorOf(belief)] as const);
  return {
    classes: { ...CLASS_PRIORS, ...Object.fromEntries(own) },
    effectSd: effects ? logSdOfFactor(effects.rangeFactor) : PUBLISHED_PRIORS.effectSd,
    shapeMedian: shape?.median ?? PUBLISHED_PRIORS.shapeMedian,
    shapeLogSd: shape ? logSdOfFactor(shape.rangeFactor) : PUBLISHED_PRIORS.shapeLogSd,
  };
}

const classPriorOf = ({ medianYears, rangeFactor, source }: ClassBelief): ClassPrior => ({
  medianYears,
  logSd: logSdOfFactor(rangeFactor),
  source: source.trim() || NO_SOURCE,
});

const NO_SOURCE = "the agency's own belief, no source given";

const ofPrior = ({ medianYears, logSd, source }: ClassPrior): ClassBelief => ({
  medianYears,
  rangeFactor: rounded(factorOfLogSd(logSd)),
  source,
});
const rounded = (factor: number): number => Number(factor.toFixed(2));

export const publishedClass = (sealantClass: SealantClass): ClassBelief => ofPrior(CLASS_PRIORS[sealantClass]);

export const PUBLISHED_EFFECTS: EffectBelief = {
  rangeFactor: rounded(factorOfLogSd(PUBLISHED_PRIORS.effectSd)),
  source: 'A proposal of this project, from what engineers would find surprising: halving or doubling is rare.',
};

export const PUBLISHED_SHAPE: ShapeBelief = {
  median: PUBLISHED_PRIORS.shapeMedian,
  rangeFactor: rounded(factorOfLogSd(PUBLISHED_PRIORS.shapeLogSd)),
  source: 'A proposal of this project: things that wear out have shapes above 1, and seldom above 5.',
};

/** Equal beliefs have equal words, whatever the order of their classes. */
export function priorsKey(priors: Priors | null): string {
  const { classes, effects, shape } = priors ?? { classes: {} as Priors['classes'], effects: null, shape: null };
  const own = SEALANT_CLASSES.flatMap((name) => {
    const belief = classes[name];
    return belief ? [[name, belief.medianYears, belief.rangeFactor]] : [];
  });
  return JSON.stringify([own, effects?.rangeFactor ?? null, shape && [shape.median, shape.rangeFactor]]);
}

/** One line on what was believed: for the report of a model. */
export function priorWords(priors: Priors | null): string {
  const { effectSd, shapeMedian, shapeLogSd } = lifePriors(priors);
  const factor = (logSd: number) => factorOfLogSd(logSd);
  const [effect, shape] = [factor(effectSd), factor(shapeLogSd)];
  const own = priors ? Object.keys(priors.classes).length : 0;
  const medians =
    own === 0
      ? 'published class medians'
      : `class medians: the agency's own for ${own} ${own === 1 ? 'class' : 'classes'}, else published`;
  return (
    `weakly informative: ${medians}, shape ${(shapeMedian / shape).toFixed(1)} to ${(shapeMedian * shape).toFixed(1)}, ` +
    `effects ${(1 / effect).toFixed(1)} to ${effect.toFixed(1)} times (95 %)`
  );
}
