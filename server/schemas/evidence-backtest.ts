import { type Static, Type } from 'typebox';
import { IsoDateSchema, Nullable } from './common.ts';
import { FitStatusSchema } from './model.ts';
import { oneOf } from './words.ts';

/** Two ends of an interval. */
export const RangeSchema = Type.Object({ lower: Type.Number(), upper: Type.Number() });

/** Forecast against found for one group of looks (a look: one later inspection of a seal that was sound before). */
export const CalibrationRowSchema = Type.Object({
  label: Type.String({ description: 'A tenth ("0.1 to 0.2"), class, district, climate zone or cut-off' }),
  trials: Type.Integer({ description: 'Looks' }),
  found: Type.Number({ description: 'Looks that found the seal failed' }),
  expected: Type.Number({ description: 'Looks forecast to find it failed' }),
  foundShare: Type.Number(),
  forecastShare: Type.Number(),
  chanceRange: {
    ...RangeSchema,
    description: 'Where the found share lies with 80 % if every chance is right: chance alone',
  },
  lengthM: Type.Number(),
  foundLengthM: Type.Number(),
  expectedLengthM: Type.Number(),
  foundLengthShare: Type.Number(),
  forecastLengthShare: Type.Number(),
  lengthChanceRange: RangeSchema,
});
export type CalibrationRow = Static<typeof CalibrationRowSchema>;

/** The same with the uncertainty of the parameters in it. */
export const GroupForecastSchema = Type.Object({
  ...CalibrationRowSchema.properties,
  within80: { ...RangeSchema, description: 'Number found failed, 80 % interval of the forecast' },
  within95: RangeSchema,
  lengthWithin80M: RangeSchema,
});
export type GroupForecast = Static<typeof GroupForecastSchema>;

/** Means over looks; smaller is better. */
export const ScoresSchema = Type.Object({
  trials: Type.Integer(),
  logScore: Type.Number({ description: '-log of the chance given to what was found, natural logs' }),
  brier: Type.Number({ description: 'Squared difference of chance and outcome' }),
});

const ScoreGainSchema = Type.Object({
  mean: Type.Number({ description: "Score of the other method less the model's: above 0, the model was better" }),
  lower: Nullable(Type.Number({ description: '80 % interval by resampling whole facilities' })),
  upper: Nullable(Type.Number()),
});

export const ComparisonSchema = Type.Object({
  against: Type.String({ description: 'Name of the other method' }),
  logScore: ScoreGainSchema,
  brier: ScoreGainSchema,
  logSkill: Nullable(Type.Number({ description: "Share of the other method's log score that the model saves" })),
});
export type Comparison = Static<typeof ComparisonSchema>;

export const CoverageSchema = Type.Object({
  label: Type.String(),
  count: Type.Integer({ description: 'Cells, or lives' }),
  share: Type.Number({ description: 'Share that 80 % intervals held; 0.8 where the forecast is calibrated' }),
  lower: Type.Number({ description: 'Where 80 % of such shares lie' }),
  upper: Type.Number(),
  wholly: Type.Number({ description: 'Share of outcomes that lie wholly inside the interval' }),
});
export type Coverage = Static<typeof CoverageSchema>;

export const LifeCoverageSchema = Type.Object({
  ...CoverageSchema.properties,
  early: Type.Number({ description: 'Share of lives that surely failed before their interval' }),
  late: Type.Number({ description: 'Share of lives that surely outlasted their interval' }),
  failures: Type.Integer(),
});

/** How one method did. Its 80 % intervals are of groups (cut-off, district, class and time ahead) and of single lives. */
export const MethodReportSchema = Type.Object({
  name: Type.String(),
  scores: Nullable(ScoresSchema),
  tenths: Type.Array(CalibrationRowSchema),
  total: Nullable(GroupForecastSchema),
  byCutoff: Type.Array(GroupForecastSchema),
  byClass: Type.Array(GroupForecastSchema),
  byDistrict: Type.Array(GroupForecastSchema),
  byZone: Type.Array(GroupForecastSchema),
  cells: Nullable(
    Type.Object({
      counts: Type.Array(CoverageSchema, { description: 'First "all", then by time ahead' }),
      lengths: Nullable(Type.Array(CoverageSchema, { description: 'null: the method has no draws' })),
    }),
  ),
  lifeIntervals: Type.Array(LifeCoverageSchema, { description: 'First "all", then by class' }),
});
export type MethodReport = Static<typeof MethodReportSchema>;

export const VerdictSchema = Type.Object({
  grade: oneOf(
    ['good', 'good-except', 'not-good', 'thin'],
    'good: budget with it; good-except: but not for `places`; not-good: the total is off; thin: too few looks to tell',
  ),
  sentence: Type.String({ description: 'Whether the forecast is good enough to budget with, in plain words' }),
  places: Type.Array(
    Type.Object({
      kind: oneOf(['class', 'district', 'climate zone'], 'What kind of group'),
      name: Type.String(),
      trials: Type.Integer(),
      foundShare: Type.Number(),
      forecastShare: Type.Number(),
    }),
  ),
  tooThin: Type.Array(Type.String(), { description: 'Classes with too few looks or failures to be judged' }),
});
export type Verdict = Static<typeof VerdictSchema>;

/** How well the model would have forecast: fitted to the records up to each cut-off, judged by what was found after. */
export const BacktestEvidenceSchema = Type.Object({
  verdict: VerdictSchema,
  trials: Type.Integer({ description: 'Looks judged, over all cut-offs' }),
  failures: Type.Integer(),
  lives: Type.Integer({ description: 'Seals and cut-offs' }),
  cutoffs: Type.Array(IsoDateSchema),
  horizonYears: Type.Number({ description: 'Looks later than this after their cut-off are not judged' }),
  model: MethodReportSchema,
  readsShares: Type.Boolean({
    description: 'The judged model, the one in use, rests on ages and damaged shares; false: on ages alone',
  }),
  others: Type.Array(MethodReportSchema, {
    description:
      'ages alone (the model without damaged shares, where the one in use reads them); fixed life, class curve and age ranking: what agencies use today, given the same records',
  }),
  comparisons: Type.Array(ComparisonSchema),
  cutoffFits: Type.Array(
    Type.Object({
      cutoff: IsoDateSchema,
      rows: Type.Integer({ description: 'Seals that told something by then' }),
      failures: Type.Integer(),
      readings: Type.Integer({ description: 'Damaged shares read by then' }),
      readsShares: Type.Boolean({ description: 'The fit rests on them too' }),
      status: FitStatusSchema,
      note: Nullable(Type.String()),
    }),
  ),
  fixedLives: Type.Array(
    Type.Object({
      cutoff: IsoDateSchema,
      classes: Type.Array(Type.Object({ sealantClass: Type.String(), medianYears: Type.Number() })),
    }),
    { description: 'The median lives that fixed life and age ranking used' },
  ),
  leftOutSeals: Type.Object({
    contradictory: Type.Integer(),
    impossible: Type.Integer(),
    unsealed: Type.Integer(),
  }),
  laterSealTrials: Type.Integer({ description: 'Looks at seals installed after their cut-off' }),
  segmentsJudged: Type.Integer({ description: 'Segments whose looks were judged' }),
  segmentsInNetwork: Type.Integer(),
});
export type BacktestEvidence = Static<typeof BacktestEvidenceSchema>;
