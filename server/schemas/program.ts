import { type Static, Type } from 'typebox';
import { IntervalSchema, Nullable } from './common.ts';
import { FilterSchema, listOf } from './filter.ts';
import { FacilityKindSchema, JointTypeSchema, oneOf, SEALANT_CLASSES, SealantClassSchema } from './words.ts';

/** Simple rules that every program is held against. */
export const BASELINES = ['nothing', 'worst-first', 'fixed-cycle', 'all-needs-met'] as const;
export const BaselineSchema = oneOf(BASELINES, 'A simple rule to compare with');
export type Baseline = Static<typeof BaselineSchema>;

/** What has failed in a year, in the whole network or in a part of it. Intervals are 80 %. */
const FailedFigures = {
  year: Type.Integer(),
  failedShare: { ...IntervalSchema, description: 'Of sealed length, at the end of the year' },
  backlogM: { ...IntervalSchema, description: 'Length failed and not resealed at the end of the year, m' },
};
/** With what is done and spent in it. */
const YearFigures = {
  ...FailedFigures,
  lengthM: Type.Number({ description: 'Planned work, m' }),
  cost: { ...IntervalSchema, description: 'Of the planned work with mobilisation, money of each year' },
  constantCost: { ...IntervalSchema, description: 'The same in money of the price year' },
};
export const ProgramYearSchema = Type.Object({
  ...YearFigures,
  works: Type.Integer(),
  facilities: Type.Integer({ description: 'That are worked on' }),
  mobilisationCost: Type.Number({ description: 'Of it mobilisation and traffic control, money of each year' }),
  neighboursM: Type.Number({ description: 'Of the length, not yet due: there for the least job or a closure, m' }),
  budgetAtMost: Nullable(Type.Number({ description: 'Money of each year' })),
  budgetPrice: Nullable(
    Type.Number({ description: "Discounted cost saved by one more unit of this year's budget; null: no limit" }),
  ),
});
export type ProgramYear = Static<typeof ProgramYearSchema>;

export const ProgramRowSchema = Type.Object({
  district: Type.String(),
  sealantClass: SealantClassSchema,
  year: Type.Integer(),
  lengthM: Type.Number(),
  works: Type.Integer(),
  cost: IntervalSchema,
  constantCost: IntervalSchema,
});

const Totals = {
  presentCost: { ...IntervalSchema, description: 'Discounted work and mobilisation, constant money' },
  presentOpenCost: { ...IntervalSchema, description: 'Discounted cost of open joints within the horizon' },
  presentFinalCost: Type.Number({ description: 'Discounted cost of all that follows the horizon, expected' }),
  annualCost: { ...IntervalSchema, description: 'Equivalent uniform annual cost of work and open joints' },
  nominalCost: { ...IntervalSchema, description: 'Work and mobilisation, money of each year' },
  lengthM: Type.Number(),
  works: Type.Integer(),
  failedLengthYearsM: { ...IntervalSchema, description: 'Metre-years with a failed joint within the horizon' },
  backlogAtEndM: IntervalSchema,
  failedShareAtEnd: IntervalSchema,
  budgetUsedShare: Nullable(Type.Number({ description: 'Of all limited years together; null: no limit' })),
};
export const ProgramTotalsSchema = Type.Object(Totals);
export type ProgramTotals = Static<typeof ProgramTotalsSchema>;

export const ProgramConflictSchema = Type.Object({
  sentence: Type.String({ description: 'Which bounds cannot be kept together, by how much, and what would help' }),
  asked: Type.Number(),
  reachable: Type.Number(),
  unit: oneOf(['money', 'm', 'share'], 'Of both numbers'),
});

const PartYear = { ...YearFigures };
export const ProgramSchema = Type.Object({
  scenarioId: Type.String(),
  scenarioName: Type.String(),
  scenarioRevision: Type.Integer(),
  modelVersion: Type.Integer(),
  dataVersion: Type.Integer(),
  planningDate: Type.String(),
  currency: Type.String(),
  priceYear: Type.Integer(),
  escalationPerYear: Type.Number(),
  discountRatePerYear: Type.Number(),
  question: oneOf(['least-cost', 'least-budget'], 'What was asked'),
  status: oneOf(['solved', 'stopped', 'infeasible'], 'stopped: cancelled, the best so far is kept'),
  sentence: Type.String({ description: 'The program in plain words' }),
  objective: Type.Number(),
  bound: Type.Number({ description: 'No program under these limits can have a lower objective' }),
  gapShare: Nullable(Type.Number()),
  method: oneOf(['exact', 'decomposition'], 'How it was solved'),
  conflicts: Type.Array(ProgramConflictSchema),
  years: Type.Array(ProgramYearSchema),
  rows: Type.Array(ProgramRowSchema, { description: 'Year x district x class, those with work' }),
  districts: Type.Array(Type.Object({ district: Type.String(), ...PartYear })),
  facilityKinds: Type.Array(Type.Object({ facilityKind: FacilityKindSchema, ...FailedFigures })),
  totals: ProgramTotalsSchema,
  baselines: Type.Array(
    Type.Object({
      baseline: BaselineSchema,
      rule: Type.String(),
      totals: ProgramTotalsSchema,
      years: Type.Array(Type.Object(PartYear)),
    }),
  ),
  handMadeCost: Nullable(
    Type.Number({ description: 'What the choices made by hand add to the objective; null: none were made' }),
  ),
  asked: Type.Array(Type.Object({ what: Type.String(), value: Type.String() }), {
    description: 'What the scenario asked when the program was made, in words',
  }),
  assumptions: Type.Array(Type.String()),
  cautions: Type.Array(Type.String()),
});
export type Program = Static<typeof ProgramSchema>;

/** What put a reseal into a program. */
export const WORK_REASONS = ['due', 'neighbour', 'committed', 'chosen', 'target'] as const;

/** One reseal of one segment. */
export const ProgramWorkSchema = Type.Object({
  segmentId: Type.String(),
  facilityId: Type.String(),
  facilityName: Type.String(),
  district: Type.String(),
  jointType: JointTypeSchema,
  year: Type.Integer(),
  sealantClass: SealantClassSchema,
  sealantClassInPlace: Nullable(SealantClassSchema),
  lengthM: Type.Number(),
  cost: Type.Number({ description: 'Without mobilisation, money of each year' }),
  constantCost: Type.Number({ description: 'Without mobilisation, money of the price year' }),
  failedChance: Type.Number({ description: 'Of having failed by the end of that year if not resealed' }),
  savedByNotWaiting: Nullable(
    Type.Number({ description: 'Discounted cost of waiting one more year, less what waiting saves; null: last year' }),
  ),
  neighbours: Type.Integer({ description: 'Other works of the same facility and year' }),
  why: oneOf(WORK_REASONS, 'What put it there'),
  reason: Type.String({ description: 'Why, in a sentence' }),
});
export type ProgramWork = Static<typeof ProgramWorkSchema>;

export const ProgramWorkPageSchema = Type.Object({
  items: Type.Array(ProgramWorkSchema),
  numberMatched: Type.Integer(),
  next: Nullable(Type.String({ description: 'Keyset token: send as `after`' })),
});
export type ProgramWorkPage = Static<typeof ProgramWorkPageSchema>;

/** Parts of a list of work, as query parameters. Lists are comma-separated; empty or absent: everything. */
export const WorkFilterSchema = Type.Object(
  {
    year: Type.Optional(Type.Integer({ minimum: 1900, maximum: 2300 })),
    minYear: Type.Optional(Type.Integer({ minimum: 1900, maximum: 2300 })),
    maxYear: Type.Optional(Type.Integer({ minimum: 1900, maximum: 2300 })),
    ...Type.Pick(FilterSchema, ['district', 'facility', 'segmentIds']).properties,
    sealantClass: Type.Optional(listOf(SEALANT_CLASSES, 'Classes resealed with')),
    why: Type.Optional(listOf(WORK_REASONS, 'What put it there')),
  },
  { additionalProperties: false },
);
export type WorkFilter = Static<typeof WorkFilterSchema>;

export const WORK_SORT_FIELDS = [
  'year',
  'segmentId',
  'facilityId',
  'district',
  'sealantClass',
  'lengthM',
  'cost',
  'failedChance',
  'savedByNotWaiting',
] as const;
export const WorkSortSchema = oneOf(WORK_SORT_FIELDS, 'What the works are ordered by');
export type WorkSort = Static<typeof WorkSortSchema>;

/** What changed from one program to another. */
export const ProgramChangesSchema = Type.Object({
  from: Type.String(),
  to: Type.String(),
  added: Type.Integer(),
  dropped: Type.Integer(),
  moved: Type.Integer(),
  otherClass: Type.Integer(),
  presentCost: { ...IntervalSchema, description: 'Difference, by common random numbers' },
  failedLengthYearsM: IntervalSchema,
  backlogAtEndM: IntervalSchema,
  sentence: Type.String(),
  works: Type.Array(
    Type.Object({
      segmentId: Type.String(),
      facilityName: Type.String(),
      fromYear: Nullable(Type.Integer()),
      toYear: Nullable(Type.Integer()),
      fromClass: Nullable(SealantClassSchema),
      toClass: Nullable(SealantClassSchema),
      lengthM: Type.Number(),
    }),
    { description: 'At most 500, longest first' },
  ),
});
export type ProgramChanges = Static<typeof ProgramChangesSchema>;
