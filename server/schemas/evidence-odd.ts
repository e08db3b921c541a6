import { type Static, Type } from 'typebox';
import { Nullable } from './common.ts';
import { oneOf } from './words.ts';

/** At most this many segment ids stand in one list; `segments` counts all. */
export const MOST_SEGMENT_IDS = 500;

const SegmentIds = Type.Array(Type.String(), {
  maxItems: MOST_SEGMENT_IDS,
  description: `In id order, at most ${MOST_SEGMENT_IDS}`,
});
const MaybeNumber = Nullable(Type.Number());

/** What the records say about one lot, facility or district against the average of its grouping. */
export const LevelEffectSchema = Type.Object({
  level: Type.String(),
  label: Type.String({ description: 'As a reader knows it: the name of a facility' }),
  effect: Nullable(Type.Number({ description: 'Shrunk effect on log life' })),
  standardError: MaybeNumber,
  lifeRatio: Nullable(Type.Number({ description: 'Life as a multiple of the average level, shrunk' })),
  lifeRatioLower: Nullable(Type.Number({ description: '80 % interval' })),
  lifeRatioUpper: MaybeNumber,
  shorterChance: Nullable(Type.Number({ description: 'Chance that life is shorter than average' })),
  seals: Type.Number(),
  failures: Type.Number(),
  expectedFailures: MaybeNumber,
  observedToExpected: MaybeNumber,
  observedToExpectedLower: MaybeNumber,
  observedToExpectedUpper: MaybeNumber,
  countChance: Nullable(Type.Number({ description: 'Two-sided chance of such a count at the average level' })),
  sentence: Type.String(),
});
export type LevelEffect = Static<typeof LevelEffectSchema>;

export const OddLevelSchema = Type.Object({
  ...LevelEffectSchema.properties,
  grouping: Type.String(),
  direction: oneOf(['fails early', 'lasts long'], 'To which side it is odd'),
  falseDiscoveryShare: Type.Number(),
  wrongSideChance: Type.Number(),
  segments: Type.Integer({ description: 'Segments with a seal of this level' }),
  segmentIds: SegmentIds,
});
export type OddLevel = Static<typeof OddLevelSchema>;

export const OddGroupingSchema = Type.Object({
  name: oneOf(['lot', 'facility', 'district'], 'What the seals are grouped by; lot: crew or lot'),
  sentence: Type.String(),
  sd: Nullable(Type.Number({ description: 'Standard deviation of log life among the levels' })),
  sdLower: MaybeNumber,
  sdUpper: MaybeNumber,
  judged: Type.Integer(),
  thin: Type.Integer({ description: 'Levels with too little on record to be judged' }),
  unknownSeals: Type.Number({ description: 'Seals without a recorded level' }),
  odd: Type.Array(OddLevelSchema, { description: 'Beyond chance; early failures first' }),
  levels: Type.Array(LevelEffectSchema, { description: 'Levels with most on record, up to 200, shortest life first' }),
});
export type OddGrouping = Static<typeof OddGroupingSchema>;

const SealPlace = {
  segmentId: Type.String(),
  sealId: Type.String(),
  sealantClass: Type.String(),
  facilityId: Type.String(),
  district: Type.String(),
  lot: Nullable(Type.String()),
};

/** A seal that failed far below its forecast life. */
export const EarlyFailureSchema = Type.Object({
  ...SealPlace,
  soundYears: Type.Number({ description: 'Last age known sound' }),
  failedYears: Type.Number({ description: 'First age known failed' }),
  chance: Type.Number({ description: 'Forecast chance of failing by then, given the age it came under observation' }),
  medianLifeYears: Type.Number({ description: 'Forecast median life of a new seal like it' }),
  inPlace: Type.Boolean(),
  sentence: Type.String(),
});
export type EarlyFailure = Static<typeof EarlyFailureSchema>;

/** A seal whose record pulls the fit most. */
export const InfluentialSealSchema = Type.Object({
  ...SealPlace,
  distance: Type.Number({ description: 'How far the whole fit moves without it; larger is more' }),
  parameter: Nullable(Type.String({ description: 'The parameter that moves most' })),
  shift: Nullable(Type.Number({ description: 'Its move without this seal, in standard errors' })),
  sentence: Type.String(),
});
export type InfluentialSeal = Static<typeof InfluentialSealSchema>;

export const ContradictorySchema = Type.Object({
  ...SealPlace,
  rule: Type.String({ description: 'How its records were read' }),
  used: Type.Boolean({ description: 'True: the fit uses it all the same' }),
  sentence: Type.String(),
});
export type Contradictory = Static<typeof ContradictorySchema>;

/** A list of seals, most telling first. `count` counts all; `seals` and `segmentIds` are cut. */
const listOf = <S extends ReturnType<typeof Type.Object>>(seal: S) => ({
  rule: Type.String({ description: 'Which seals are in the list' }),
  sentence: Type.String(),
  count: Type.Integer(),
  segments: Type.Integer(),
  segmentIds: SegmentIds,
  seals: Type.Array(seal, { maxItems: MOST_SEGMENT_IDS }),
});

/** Lots, facilities, segments and records that stand out. */
export const OddOnesSchema = Type.Object({
  groupings: Type.Array(OddGroupingSchema),
  note: Nullable(Type.String({ description: 'Why groups could not be compared, or how far' })),
  early: Type.Object(listOf(EarlyFailureSchema)),
  influential: Nullable(Type.Object(listOf(InfluentialSealSchema))),
  contradictory: Type.Object(listOf(ContradictorySchema)),
});
export type OddOnes = Static<typeof OddOnesSchema>;
