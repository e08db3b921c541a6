import { type Static, Type } from 'typebox';
import { IntervalSchema, Nullable } from './common.ts';
import { SEALANT_CLASSES, type SealantClass, SealantClassSchema } from './words.ts';

const SourceSchema = Type.String({ maxLength: 300, description: 'Why: a survey, a warranty, a judgement' });
const factorSchema = (least: number, most: number) =>
  Type.Number({ minimum: least, maximum: most, description: 'With 95 % within this factor, either way' });

/** What is believed of one class before any inspection: half of its seals last longer than the median. */
export const ClassBeliefSchema = Type.Object(
  {
    medianYears: Type.Number({ minimum: 0.5, maximum: 100, description: 'Median life, years' }),
    rangeFactor: factorSchema(1.1, 20),
    source: SourceSchema,
  },
  { additionalProperties: false },
);
export type ClassBelief = Static<typeof ClassBeliefSchema>;

export const EffectBeliefSchema = Type.Object(
  { rangeFactor: factorSchema(1.05, 10), source: SourceSchema },
  { additionalProperties: false, description: 'What one standard deviation or one switch of a covariate does to life' },
);
export type EffectBelief = Static<typeof EffectBeliefSchema>;

export const ShapeBeliefSchema = Type.Object(
  {
    median: Type.Number({ minimum: 0.5, maximum: 10, description: 'Above 1: seals wear out' }),
    rangeFactor: factorSchema(1.1, 10),
    source: SourceSchema,
  },
  { additionalProperties: false, description: 'Weibull shape; of other families 1 / sigma' },
);
export type ShapeBelief = Static<typeof ShapeBeliefSchema>;

const ClassBeliefsSchema = Type.Unsafe<Partial<Record<SealantClass, ClassBelief>>>(
  Type.Object(Object.fromEntries(SEALANT_CLASSES.map((name) => [name, Type.Optional(ClassBeliefSchema)])), {
    additionalProperties: false,
    description: 'Classes that are not here keep their published life',
  }),
);

/** The agency's own beliefs. What is null or left out stays as published. */
export const PriorsSchema = Type.Object(
  {
    classes: ClassBeliefsSchema,
    effects: Nullable(EffectBeliefSchema),
    shape: Nullable(ShapeBeliefSchema),
  },
  { additionalProperties: false },
);
export type Priors = Static<typeof PriorsSchema>;

/** What a version of the model made of one class. */
const FittedClassSchema = Type.Object({
  believedMedianYears: Type.Number({ description: 'What was believed before the data' }),
  medianLifeYears: IntervalSchema,
  observations: Type.Integer(),
  failures: Type.Integer(),
  dataShare: Type.Number({ description: 'How much of it is data rather than belief, 0 to 1' }),
});
export type FittedClass = Static<typeof FittedClassSchema>;

export const ClassPriorRowSchema = Type.Object({
  sealantClass: SealantClassSchema,
  published: ClassBeliefSchema,
  believed: ClassBeliefSchema,
  changed: Type.Boolean({ description: 'The agency believes otherwise than published' }),
  worthFailures: Type.Number({ description: 'Observed failures that the belief weighs as much as' }),
  sentence: Type.String({ description: 'What such a belief says will happen' }),
  caution: Nullable(Type.String()),
  fitted: Nullable(FittedClassSchema),
  before: Nullable({ ...FittedClassSchema, description: 'By the version before the one in use' }),
});
export type ClassPriorRow = Static<typeof ClassPriorRowSchema>;

/** What is believed before any data, what became of it, and where it comes from. */
export const PriorTableSchema = Type.Object({
  modelVersion: Nullable(Type.Integer({ description: 'In use; null before the first fit' })),
  versionBefore: Nullable(Type.Integer()),
  fittedWithThese: Type.Boolean({ description: 'The model in use was fitted with these beliefs' }),
  classes: Type.Array(ClassPriorRowSchema),
  effects: Type.Object({
    published: EffectBeliefSchema,
    believed: EffectBeliefSchema,
    changed: Type.Boolean(),
    logSd: Type.Number({ description: 'Standard deviation of the effect on log life' }),
    sentence: Type.String(),
  }),
  shape: Type.Object({
    published: ShapeBeliefSchema,
    believed: ShapeBeliefSchema,
    changed: Type.Boolean(),
    fitted: Nullable(IntervalSchema),
    before: Nullable(IntervalSchema),
    sentence: Type.String(),
  }),
  note: Type.String(),
});
export type PriorTable = Static<typeof PriorTableSchema>;

export const PriorDraftSchema = Type.Object({ priors: Nullable(PriorsSchema) }, { additionalProperties: false });
export type PriorDraft = Static<typeof PriorDraftSchema>;

/** Median life of one class with the saved beliefs and with those that were tried. */
export const TriedClassSchema = Type.Object({
  sealantClass: SealantClassSchema,
  believedYears: Type.Object({ saved: Type.Number(), tried: Type.Number() }),
  observations: Type.Integer(),
  failures: Type.Integer(),
  saved: IntervalSchema,
  tried: IntervalSchema,
  sentence: Type.String(),
});
export type TriedClass = Static<typeof TriedClassSchema>;

/** The model fitted twice to the same records: only what is believed differs. Nothing of it is kept but this table. */
export const PriorTrialSchema = Type.Object({
  madeAt: Nullable(Type.String({ description: 'null: none has been made yet' })),
  dataVersion: Nullable(Type.Integer()),
  outdated: Type.Boolean({ description: 'Records or settings have changed since' }),
  priors: Nullable({ ...PriorsSchema, description: 'What was tried; null: all as published' }),
  classes: Type.Array(TriedClassSchema),
  shape: Nullable(Type.Object({ saved: IntervalSchema, tried: IntervalSchema })),
  summary: Type.String(),
});
export type PriorTrial = Static<typeof PriorTrialSchema>;
