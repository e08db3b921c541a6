import { type Static, Type } from 'typebox';
import { IntervalSchema, Nullable } from './common.ts';
import { PooledGroupingNameSchema } from './pooling.ts';
import { oneOf, PreparationSchema, SealantClassSchema } from './words.ts';

/** An interval of calendar years; null: more than 100 years ahead. */
const FailureYearSchema = Type.Object({
  median: Nullable(Type.Number()),
  lower: Nullable(Type.Number({ description: '10 % failed by then' })),
  upper: Nullable(Type.Number({ description: '90 % failed by then' })),
});

export const DRIVER_STEPS = ['prior', 'class', 'covariates', 'inspections'] as const;

/** One step of the ladder: the forecast with what is known up to here. */
export const DriverStepSchema = Type.Object({
  step: oneOf(DRIVER_STEPS, 'What is known up to here'),
  label: Type.String(),
  failureYear: FailureYearSchema,
  informationShare: Type.Number({
    minimum: 0,
    maximum: 1,
    description: 'Of all that narrowed the forecast, the share that came with this step; the four add up to 1',
  }),
  sentence: Type.String(),
});
export type DriverStep = Static<typeof DriverStepSchema>;

/** How one covariate value of this segment pushes its life away from that of the network's average. */
export const DriverEffectSchema = Type.Object({
  name: Type.String(),
  label: Type.String(),
  value: Nullable(Type.Number({ description: "In `unit`; null: not recorded, the network's average stands in" })),
  networkAverage: Type.Number(),
  unit: Type.String(),
  valueText: Type.String({ description: 'Value and average in words' }),
  lifeRatio: { ...IntervalSchema, description: 'Life at this value over life at the average' },
  sentence: Type.String(),
});
export type DriverEffect = Static<typeof DriverEffectSchema>;

/** What the district, facility or lot of this seal does to its life; all that share it share the effect. */
export const DriverLevelSchema = Type.Object({
  name: PooledGroupingNameSchema,
  label: Type.String(),
  valueText: Type.String(),
  lifeRatio: { ...IntervalSchema, description: 'Life at this level over life at the average one' },
  sentence: Type.String(),
});

/** What drives the forecast of one segment. */
export const DriversSchema = Type.Object({
  segmentId: Type.String(),
  modelVersion: Type.Integer(),
  sealantClass: SealantClassSchema,
  installed: Type.Number({ description: 'Decimal year, middle of the installation range' }),
  steps: Type.Array(DriverStepSchema),
  leftOpenShare: Type.Number({
    minimum: 0,
    maximum: 1,
    description: 'Variance of log life that is left at the end, over that of a seal of unknown class',
  }),
  informationNote: Type.String({ description: 'What the shares mean' }),
  effects: Type.Array(DriverEffectSchema, { description: 'Strongest first' }),
  levels: Type.Array(DriverLevelSchema, {
    description: 'District, facility and lot, where the model has effects of them; empty otherwise',
  }),
  together: {
    ...IntervalSchema,
    description:
      "Life with all of this segment's covariates, district, facility and lot over life at the network's averages",
  },
  summary: Type.String(),
});
export type Drivers = Static<typeof DriversSchema>;

export const WhatIfRequestSchema = Type.Object(
  {
    sealantClass: SealantClassSchema,
    widthMm: Type.Optional(
      Type.Number({ minimum: 3, maximum: 100, description: 'Left out: the width that is there now' }),
    ),
    preparation: Type.Optional(PreparationSchema),
    year: Type.Optional(
      Type.Integer({ minimum: 1900, maximum: 2300, description: 'Year of resealing; left out: the planning year' }),
    ),
  },
  { additionalProperties: false },
);
export type WhatIfRequest = Static<typeof WhatIfRequestSchema>;

/** One way of resealing. Money: agency's currency of the price year, per metre. */
export const ResealOptionSchema = Type.Object({
  sealantClass: SealantClassSchema,
  widthMm: Nullable(Type.Number()),
  preparation: PreparationSchema,
  year: Type.Integer(),
  medianLifeYears: { ...IntervalSchema, description: 'Age by which half have failed; 80 %: how well it is known' },
  lifeYears: { ...IntervalSchema, description: 'One such seal: 80 % of lives lie in the interval' },
  lasts: Type.Array(
    Type.Object({ years: Type.Integer(), chance: Type.Number({ description: 'Chance of lasting so long' }) }),
  ),
  failureYear: FailureYearSchema,
  costPerM: Nullable(Type.Number({ description: 'null: no unit cost for this class' })),
  annualCostPerM: Nullable({
    ...IntervalSchema,
    description: 'Price spread over the median life at the discount rate: equivalent uniform annual cost',
  }),
  knownBy: Type.String({ description: 'How much of it is records and how much belief' }),
  cautions: Type.Array(Type.String()),
});
export type ResealOption = Static<typeof ResealOptionSchema>;

export const WhatIfSchema = Type.Object({
  segmentId: Type.String(),
  modelVersion: Type.Integer(),
  currency: Type.String(),
  priceYear: Nullable(Type.Integer()),
  discountRatePerYear: Type.Number(),
  option: ResealOptionSchema,
  likeWithLike: ResealOptionSchema,
  lifeRatio: { ...IntervalSchema, description: 'Median life of the option over that of resealing like with like' },
  sentence: Type.String(),
});
export type WhatIf = Static<typeof WhatIfSchema>;
