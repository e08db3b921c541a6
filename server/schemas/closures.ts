import { type Static, Type } from 'typebox';
import { ClosureRulesSchema, GateProfileSchema } from './closure-rules.ts';
import { KeySchema, Nullable, ProblemSchema } from './common.ts';
import { DirectionSchema, FacilityKindSchema, oneOf, SealantClassSchema } from './words.ts';

const closed = { additionalProperties: false } as const;
/** On the local clock of the plan's time zone. */
export const LocalTimeSchema = Type.String({
  pattern: '^[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}$',
  description: 'Local clock of the plan, YYYY-MM-DDTHH:MM',
});
const PeriodSchema = Type.Object({ startsAt: LocalTimeSchema, endsAt: LocalTimeSchema });

export const CLOSURE_STATES = ['planned', 'done', 'lost'] as const;
export const ClosureStateSchema = oneOf(CLOSURE_STATES, 'lost: weather or another reason kept the crews away');

const FinishWords = {
  finishInterval: Type.Optional(
    Nullable(Type.Tuple([Type.Number(), Type.Number()], { description: 'Of the chance to finish, eight in ten' })),
  ),
  finishWords: Type.Optional(Type.String({ description: 'How the chance was reckoned, or why there is none' })),
};

export const ClosureWorkSchema = Type.Object({
  segmentId: Type.String(),
  fromM: Type.Number({ description: 'Place in the sealed length of the segment, m' }),
  toM: Type.Number(),
  lengthM: Type.Number(),
  pass: oneOf(['reseal', 'open', 'seal'], 'open: up to the wash; seal: from the dry joint on'),
  crewId: Type.String(),
  sealantClass: SealantClassSchema,
  sealantClassInPlace: Nullable(SealantClassSchema),
  widthMm: Nullable(Type.Number()),
  direction: Type.Optional(Nullable(DirectionSchema)),
  firstLane: Type.Optional(Nullable(Type.Integer())),
  lastLane: Type.Optional(Nullable(Type.Integer())),
  startsAt: LocalTimeSchema,
  endsAt: LocalTimeSchema,
});

/** Of a facility that does not close as a whole, or whose directions both close. */
const ClosurePartSchema = Type.Object({
  id: Type.String({ description: 'Of what closes: no two closures of the same overlap' }),
  name: Type.String({ description: 'Direction and lanes in words' }),
  direction: DirectionSchema,
  lanes: Type.Array(Type.Integer(), { description: 'That the work needs closed; empty: not told, so all' }),
});

export const ClosureSchema = Type.Object({
  id: Type.String({ description: 'Stable while facility and window stay' }),
  uid: Type.String({ description: 'Of the calendar event; stays when the closure is moved' }),
  sequence: Type.Integer({ description: 'Of the calendar event; grows when it is moved or changed' }),
  facilityId: Type.String(),
  facilityName: Type.String(),
  facilityKind: FacilityKindSchema,
  part: Type.Optional(Nullable(ClosurePartSchema)),
  district: Type.String(),
  startsAt: LocalTimeSchema,
  endsAt: LocalTimeSchema,
  opensAt: { ...LocalTimeSchema, description: 'Traffic may run from then on, if all goes as planned' },
  reserve: Nullable(PeriodSchema),
  state: ClosureStateSchema,
  locked: Type.Boolean(),
  byHand: Type.Boolean({ description: 'Moved or made by hand' }),
  closedFor: Type.Array(Type.String(), { description: 'Facilities whose work needs this one closed' }),
  works: Type.Array(ClosureWorkSchema, { description: 'In order along the pavement' }),
  operations: Type.Array(
    Type.Object({
      kind: Type.String(),
      how: Type.String(),
      hours: Nullable(Type.Number({ description: 'null: a wait that depends on the day' })),
    }),
  ),
  crews: Type.Array(Type.String()),
  lengthM: Type.Number({ description: 'Of all its works' }),
  doneM: Nullable(Type.Number({ description: 'What was done of it, in the order of its works; null: not told' })),
  sealant: Type.Array(
    Type.Object({ sealantClass: SealantClassSchema, litres: Nullable(Type.Number()), metres: Nullable(Type.Number()) }),
  ),
  rods: Type.Array(Type.Object({ diameterMm: Nullable(Type.Number()), metres: Type.Number() })),
  crewHours: Type.Number(),
  weatherChance: Nullable(Type.Number({ description: 'Of workable weather; null: no record to judge by' })),
  finishChance: Nullable(Type.Number({ description: 'That its work is finished in the window: weather and pace' })),
  ...FinishWords,
  conflicts: Type.Array(Type.Object({ rule: Type.String(), sentence: Type.String() }), {
    description: 'Rules that it breaks, because it was moved or locked by hand',
  }),
  note: Type.String(),
});
export type Closure = Static<typeof ClosureSchema>;

export const UnplacedSchema = Type.Object({
  facilityId: Type.String(),
  facilityName: Type.String(),
  part: Type.Optional(Nullable(Type.String({ description: 'Direction and lanes in words' }))),
  segmentIds: Type.Array(Type.String()),
  lengthM: Type.Number(),
  rule: Type.String(),
  reason: Type.String(),
  change: Nullable(
    Type.String({ description: 'Cheapest change that was tried and makes it fit; null: none was found' }),
  ),
});

const SpreadSchema = Type.Object({ mean: Type.Number(), p10: Type.Number(), p50: Type.Number(), p90: Type.Number() });
export const WorkableSchema = Type.Object({
  stationId: Nullable(Type.String()),
  facilityIds: Type.Array(Type.String()),
  gate: Type.String({ description: 'The limits in words, with their source' }),
  hours: Type.String({ description: 'Hours of the day that were judged' }),
  years: Type.Integer({ description: 'Nearly whole years of record' }),
  refused: Nullable(Type.String({ description: 'Why nothing is said' })),
  rule: Type.String(),
  months: Type.Array(
    Type.Object({
      month: Type.Integer({ minimum: 1, maximum: 12 }),
      judged: Type.Integer(),
      workable: Type.Integer(),
      share: Nullable(Type.Number()),
      days: SpreadSchema,
      pairs: SpreadSchema,
      longestRun: SpreadSchema,
    }),
  ),
});

/** All of a schedule but its closures. */
const ScheduleHeadFields = {
  planId: Type.String(),
  planName: Type.String(),
  planRevision: Type.Integer(),
  scenarioName: Type.String(),
  year: Type.Integer(),
  timeZone: Type.String(),
  madeAt: Type.String(),
  sentence: Type.String({ description: 'The schedule in plain words' }),
  unplaced: Type.Array(UnplacedSchema),
  refused: Type.Array(Type.Object({ segmentId: Type.String(), reason: Type.String() })),
  totals: Type.Object({
    closures: Type.Integer(),
    crewShifts: Type.Integer(),
    lengthM: Type.Number(),
    unplacedM: Type.Number(),
    leftM: Type.Optional(
      Type.Number({ description: 'Lost, or left undone, since the schedule was made: to be scheduled again' }),
    ),
    litres: Type.Number(),
    rodM: Type.Number(),
    crewHours: Type.Number(),
    finishChance: Nullable(
      Type.Number({ description: 'That all of it is finished by the last closure, reserves used' }),
    ),
    ...FinishWords,
    finishedShare: Nullable({ ...SpreadSchema, description: 'Of the placed work, by crew time, finished by then' }),
  }),
  proof: Type.Object({
    workGapShare: Type.Number({ description: 'No schedule places more than this share beyond' }),
    costGapShare: Type.Number(),
    ended: oneOf(['optimal', 'within-gap', 'effort-spent', 'cancelled'], 'How the search ended'),
    sentence: Type.String(),
  }),
  workable: Type.Array(WorkableSchema),
  gateProfile: GateProfileSchema,
  assumptions: Type.Array(Type.String()),
  cautions: Type.Array(Type.String()),
};
export const ScheduleHeadSchema = Type.Object(ScheduleHeadFields);
export type ScheduleHead = Static<typeof ScheduleHeadSchema>;
export const ScheduleSchema = Type.Object({ ...ScheduleHeadFields, closures: Type.Array(ClosureSchema) });
export type Schedule = Static<typeof ScheduleSchema>;

export const ClosurePlanSchema = Type.Object({
  id: Type.String(),
  name: Type.String({ minLength: 1, maxLength: 100 }),
  note: Type.String({ maxLength: 2000 }),
  revision: Type.Integer({ description: 'Grows with each change of rules or closures; send as If-Match' }),
  createdAt: Type.String(),
  changedAt: Type.String(),
  rules: ClosureRulesSchema,
  schedule: Nullable(
    Type.Object({
      madeAt: Type.String(),
      current: Type.Boolean({ description: 'false: rules or program changed since' }),
    }),
  ),
});
export type ClosurePlan = Static<typeof ClosurePlanSchema>;

export const ClosurePlanEditSchema = Type.Object(
  {
    name: Type.Optional(Type.String({ minLength: 1, maxLength: 100 })),
    note: Type.Optional(Type.String({ maxLength: 2000 })),
    rules: Type.Optional(ClosureRulesSchema),
  },
  closed,
);
export type ClosurePlanEdit = Static<typeof ClosurePlanEditSchema>;

/** A change of one closure by hand. */
export const ClosureEditSchema = Type.Object(
  {
    startsAt: Type.Optional({ ...LocalTimeSchema, description: 'Moves it to the window that starts then' }),
    locked: Type.Optional(Type.Boolean()),
    state: Type.Optional(ClosureStateSchema),
    doneM: Type.Optional(Nullable(Type.Number({ minimum: 0 }))),
    note: Type.Optional(Type.String({ maxLength: 2000 })),
  },
  closed,
);
export type ClosureEdit = Static<typeof ClosureEditSchema>;

/** What two people did at the same time, for the one who came second. */
export const ClosureClashSchema = Type.Object({
  revision: Type.Integer(),
  changes: Type.Array(
    Type.Object({
      revision: Type.Integer(),
      changedAt: Type.String(),
      sentence: Type.String(),
      closureId: Nullable(KeySchema),
    }),
  ),
});
export type ClosureClash = Static<typeof ClosureClashSchema>;

export const ClosurePlanListSchema = Type.Object({ plans: Type.Array(ClosurePlanSchema) });
export const NewClosurePlanSchema = Type.Object(
  {
    name: Type.String({ minLength: 1, maxLength: 100 }),
    note: Type.Optional(Type.String({ maxLength: 2000 })),
    rules: Type.Optional({ ...ClosureRulesSchema, description: 'Left out: the defaults' }),
  },
  closed,
);

const MarkSchema = Type.String({ description: 'How far the number is to be trusted: seen, common practice, …' });
/** Where a plan starts, and what its numbers come from. */
export const ClosureDefaultsSchema = Type.Object({
  rules: ClosureRulesSchema,
  rates: Type.Array(
    Type.Object({
      key: Type.String(),
      operation: Type.String(),
      metresPerHour: Type.Number(),
      bracket: Type.Tuple([Type.Number(), Type.Number()]),
      workers: Type.Integer(),
      mark: MarkSchema,
      source: Type.String(),
    }),
  ),
  gates: Type.Array(Type.Object({ profile: GateProfileSchema, words: Type.String(), source: Type.String() })),
  openings: Type.Array(
    Type.Object({
      sealantClass: SealantClassSchema,
      minutes: Type.Integer({ description: 'Under the limits of the default' }),
      minutesByGate: Type.Record(Type.String(), Type.Integer(), {
        description: 'By profile: at the coldest air in which its limits let work go on',
      }),
      mark: MarkSchema,
      source: Type.String(),
    }),
  ),
  order: Type.Array(
    Type.Object({
      operation: Type.String(),
      bySeal: Type.Array(
        Type.Object({
          family: Type.String({ description: 'Of the seal that is there' }),
          how: Nullable(Type.String({ description: 'null: not done' })),
        }),
      ),
    }),
    { description: 'Operations in order, each as the seal that is there makes it, resealed like with like' },
  ),
  fuelRefusals: Type.Array(Type.String(), { description: 'Sealants that are refused where fuel is spilled' }),
  concreteAgeDays: Type.Integer({ description: 'New concrete is not sealed before' }),
  worksOfYear: Type.Array(Type.Object({ facilityId: Type.String(), lengthM: Type.Number() }), {
    description: 'What the program reseals in the year',
  }),
  reasons: Type.Array(Type.Object({ field: Type.String(), sentence: Type.String() })),
});
export type ClosureDefaults = Static<typeof ClosureDefaultsSchema>;

/** What one closure holds, worked out without a schedule. */
export const ClosureProductionSchema = Type.Object({
  rows: Type.Array(
    Type.Object({
      window: Type.Integer({ description: 'Place in the windows of the rules' }),
      windows: Type.Integer({ description: 'That the season has for one facility, barred days not taken out' }),
      sealsInPlace: Type.Array(Nullable(SealantClassSchema), { description: 'Resealed alike; null: no seal there' }),
      sealantClass: SealantClassSchema,
      lengthM: Type.Number({ description: 'To be done at the facilities that the window is for' }),
      facilities: Type.Integer(),
      workMinutes: Type.Number({ description: 'Left for work in one closure, all shifts together' }),
      metres: Nullable(Type.Number({ description: 'Done in one closure by the crews that have room' })),
      closures: Nullable(Type.Integer({ description: 'Needed for all of it' })),
      why: Nullable(Type.String({ description: 'Why nothing is said' })),
    }),
  ),
  refusedM: Type.Number({ description: 'Not done: the class is refused where fuel is spilled, or is not known' }),
});
export type ClosureProduction = Static<typeof ClosureProductionSchema>;
export const ClosureRulesBodySchema = Type.Object({ rules: ClosureRulesSchema }, closed);

export const ClosureWindowsSchema = Type.Object({
  windows: Type.Array(
    Type.Object({
      startsAt: LocalTimeSchema,
      endsAt: LocalTimeSchema,
      weatherChance: Nullable(Type.Number()),
      barred: Nullable(Type.String({ description: 'Why it may not close then; null: it may' })),
    }),
  ),
});
export const ClosureMoveSchema = Type.Object({ startsAt: LocalTimeSchema }, closed);
export const ClosureConflictsSchema = Type.Object({
  conflicts: Type.Array(Type.Object({ rule: Type.String(), sentence: Type.String() })),
});
export const ClosureEditedSchema = Type.Object({
  plan: ClosurePlanSchema,
  closure: ClosureSchema,
  others: Type.Array(ClosureSchema, { description: 'Closures whose conflicts came or went with the change' }),
});
/** A refusal of the second of two editors: the problem, and what the first one changed. */
export const StalePlanSchema = Type.Object({
  ...ProblemSchema.properties,
  ...ClosureClashSchema.properties,
});
