import { type Static, Type } from 'typebox';
import { IsoDateSchema, KeySchema, Nullable } from './common.ts';
import { FacilityKindSchema, JointTypeSchema, oneOf, SealantClassSchema } from './words.ts';

const closed = { additionalProperties: false } as const;
const MoneySchema = Type.Number({ minimum: 0, maximum: 1e12, description: "In the agency's currency" });
const YearSchema = Type.Integer({ minimum: 1900, maximum: 2300 });
const DistrictSchema = Type.String({ minLength: 1, maxLength: 100 });

export const BudgetLimitsSchema = Type.Object(
  {
    moneyOf: oneOf(['each-year', 'price-year'], 'Money of each year (escalated), or constant money of the price year'),
    everyYear: Nullable({ ...MoneySchema, description: 'At most this in every year; null: no limit' }),
    byYear: Type.Array(Type.Object({ year: YearSchema, atMost: Nullable(MoneySchema) }, closed), {
      maxItems: 40,
      description: 'Years that differ from `everyYear`; null: no limit in that year',
    }),
    districts: Type.Array(
      Type.Object(
        {
          district: DistrictSchema,
          year: Nullable({ ...YearSchema, description: 'null: every year' }),
          atLeast: Nullable(MoneySchema),
          atMost: Nullable(MoneySchema),
        },
        closed,
      ),
      { maxItems: 2000, description: 'Floors and ceilings of districts' },
    ),
  },
  closed,
);

export const TARGET_SCOPES = ['network', 'district', 'facility-kind'] as const;
export const TargetSchema = Type.Object(
  {
    scope: oneOf(TARGET_SCOPES, 'Part of the network'),
    name: Nullable(Type.String({ maxLength: 100, description: 'District or facility kind; null for the network' })),
    fromYear: Nullable({ ...YearSchema, description: 'Holds from this year on; null: every year' }),
    atMostShare: Type.Number({ minimum: 0, maximum: 1, description: 'Expected failed share of sealed length' }),
  },
  closed,
);

/** All that a scenario is asked about. `null` and empty lists mean: no such limit, or the setting of the agency. */
export const ScenarioInputsSchema = Type.Object(
  {
    horizonYears: Type.Integer({ minimum: 1, maximum: 40, default: 20 }),
    question: oneOf(
      ['least-cost', 'least-budget'],
      'least-cost: least discounted expected cost under the budgets; least-budget: least spending that keeps the targets',
    ),
    budgets: BudgetLimitsSchema,
    targets: Type.Array(TargetSchema, { maxItems: 200 }),
    allowedClasses: Type.Array(
      Type.Object(
        {
          sealantClass: SealantClassSchema,
          jointTypes: Type.Array(JointTypeSchema, { uniqueItems: true, description: 'Empty: every joint type' }),
          whereFuelIsSpilled: Type.Boolean({ description: 'Refused for classes whose standard excludes fuel spills' }),
        },
        closed,
      ),
      { maxItems: 20, description: 'Empty: every class with a price, and like with like' },
    ),
    prices: Type.Array(
      Type.Object(
        {
          sealantClass: SealantClassSchema,
          jointType: Type.Union([JointTypeSchema, Type.Literal('any')]),
          costPerM: Type.Number({ minimum: 0, maximum: 100_000 }),
        },
        closed,
      ),
      { maxItems: 200, description: 'Prices that differ from the unit costs on record, money of the price year' },
    ),
    priceUncertainty: Type.Number({
      minimum: 0,
      maximum: 1,
      default: 0.1,
      description: 'Standard deviation of log price, shared by all work of a class and year; 0.10 is an assumption',
    }),
    mobilisation: Type.Array(
      Type.Object(
        {
          facilityKind: Type.Union([FacilityKindSchema, Type.Literal('any')]),
          mobilisationCost: MoneySchema,
          trafficControlCost: MoneySchema,
        },
        closed,
      ),
      { maxItems: 20, description: 'For each facility and year with any work, money of the price year' },
    ),
    escalationPerYear: Nullable(Type.Number({ minimum: -0.1, maximum: 0.3, description: 'null: as in the settings' })),
    discountRatePerYear: Nullable(Type.Number({ minimum: 0, maximum: 0.3, description: 'Real; null: settings' })),
    openJointCost: Type.Array(
      Type.Object(
        {
          facilityKind: Type.Union([FacilityKindSchema, Type.Literal('any')]),
          costPerMYear: Type.Number({ minimum: 0, maximum: 10_000 }),
        },
        closed,
      ),
      {
        maxItems: 20,
        description: 'Yearly cost of one metre failed and open, times the consequence weight; empty: settings',
      },
    ),
    committed: Type.Array(
      Type.Object({ segmentId: KeySchema, year: YearSchema, sealantClass: Nullable(SealantClassSchema) }, closed),
      { maxItems: 100_000, description: 'Work already promised' },
    ),
    heldBack: Type.Array(
      Type.Object(
        {
          segmentId: Nullable(KeySchema),
          facilityId: Nullable({ ...KeySchema, description: 'All segments of the facility; give this or segmentId' }),
          pavementYear: { ...YearSchema, description: 'Year in which the pavement is to be replaced' },
          yearsBefore: Type.Integer({ minimum: 0, maximum: 40, description: 'No reseal within so many years before' }),
        },
        closed,
      ),
      { maxItems: 100_000 },
    ),
    crewCapacityMPerYear: Nullable(Type.Number({ exclusiveMinimum: 0, maximum: 1e9 })),
    minimumJobM: Type.Number({ minimum: 0, maximum: 1e6, default: 0, description: 'Least length of a facility-year' }),
    fixedCycleYears: Type.Integer({
      minimum: 1,
      maximum: 60,
      default: 10,
      description: 'Of the baseline "fixed cycle"',
    }),
    chosen: Type.Array(
      Type.Object(
        {
          segmentId: KeySchema,
          year: Nullable({ ...YearSchema, description: 'First reseal in this year; null: none within the horizon' }),
          sealantClass: Nullable(SealantClassSchema),
        },
        closed,
      ),
      { maxItems: 100_000, description: 'Choices made by hand; the program is solved around them' },
    ),
  },
  closed,
);
export type ScenarioInputs = Static<typeof ScenarioInputsSchema>;

const NameSchema = Type.String({ minLength: 1, maxLength: 100 });
const NoteSchema = Type.String({ maxLength: 2000 });

/** What a caller sends to make or change a scenario; left out: as it is, or the default. */
export const ScenarioEditSchema = Type.Object(
  {
    name: Type.Optional(NameSchema),
    note: Type.Optional(NoteSchema),
    inputs: Type.Optional(ScenarioInputsSchema),
    locked: Type.Optional(Type.Boolean({ description: 'A locked scenario is kept as it is, with its program' })),
  },
  closed,
);
export type ScenarioEdit = Static<typeof ScenarioEditSchema>;

export const NewScenarioSchema = Type.Object(
  {
    name: NameSchema,
    note: Type.Optional(NoteSchema),
    inputs: Type.Optional({ ...ScenarioInputsSchema, description: 'Left out: GET /api/scenarios/defaults' }),
  },
  closed,
);
export type NewScenario = Static<typeof NewScenarioSchema>;
export const ScenarioCopySchema = Type.Object({ name: NameSchema }, closed);

export const ScenarioDefaultsSchema = Type.Object({
  inputs: ScenarioInputsSchema,
  reasons: Type.Array(
    Type.Object({
      field: Type.String({ description: 'Of the inputs' }),
      sentence: Type.String({ description: 'Why this is where it starts, and where the figure comes from' }),
    }),
  ),
});
export type ScenarioDefaults = Static<typeof ScenarioDefaultsSchema>;

export const ScenarioSchema = Type.Object({
  id: Type.String(),
  name: NameSchema,
  note: NoteSchema,
  locked: Type.Boolean(),
  revision: Type.Integer({ description: 'Grows with each change; send as If-Match to change it' }),
  createdAt: Type.String(),
  changedAt: Type.String(),
  inputs: ScenarioInputsSchema,
  program: Nullable(
    Type.Object(
      {
        revision: Type.Integer({ description: 'Of the scenario that the program was made for' }),
        modelVersion: Type.Integer(),
        dataVersion: Type.Integer(),
        madeAt: Type.String(),
        planningDate: IsoDateSchema,
        current: Type.Boolean({ description: 'false: scenario, records, prices or model have changed since' }),
      },
      { description: 'The program that was made last; null: none yet' },
    ),
  ),
});
export type Scenario = Static<typeof ScenarioSchema>;
export const ScenarioListSchema = Type.Object({ scenarios: Type.Array(ScenarioSchema) });
