import { type Static, Type } from 'typebox';
import { IsoDateSchema, KeySchema, Nullable } from './common.ts';
import { DirectionSchema, FacilityKindSchema, oneOf, SealantClassSchema } from './words.ts';

const closed = { additionalProperties: false } as const;
const ReasonSchema = Type.String({ minLength: 1, maxLength: 300, description: 'Why, as the operator would say it' });
const NameSchema = Type.String({ minLength: 1, maxLength: 100 });
const ClockSchema = Type.String({ pattern: '^([01][0-9]|2[0-3]):[0-5][0-9]$', description: 'Local clock, HH:MM' });

export const WEEKDAYS = ['monday', 'tuesday', 'wednesday', 'thursday', 'friday', 'saturday', 'sunday'] as const;
export const WeekdaySchema = oneOf(WEEKDAYS, 'Day of the week');

/** Operations that keep a crew busy, in order of work. */
export const WORK_OPERATIONS = [
  'remove-old-seal',
  'saw-faces',
  'wash',
  'abrasive-blast',
  'blow-out',
  'place-rod',
  'seal',
  'inspect',
] as const;
export const WorkOperationSchema = oneOf(WORK_OPERATIONS, 'An operation that keeps a crew busy');
export const SEALANT_FAMILIES = ['silicone', 'hot-applied', 'cold-poured', 'preformed'] as const;
export const GATE_PROFILES = [
  'federal-lands-40f',
  'state-40f',
  'state-45f-rising',
  'airfield-50f-rising',
  'airport-50f',
] as const;
export const GateProfileSchema = oneOf(GATE_PROFILES, 'Whose published weather limits are followed');

export const WindowRuleSchema = Type.Object(
  {
    name: NameSchema,
    facilityIds: Type.Array(KeySchema, {
      maxItems: 2000,
      description: 'Facilities it is for; empty: see facilityKinds',
    }),
    facilityKinds: Type.Array(FacilityKindSchema, {
      uniqueItems: true,
      description: 'Empty, with no ids: every facility',
    }),
    directions: Type.Optional(
      Type.Array(DirectionSchema, {
        ...{ uniqueItems: true, maxItems: 9 },
        description: 'Of roads that close by direction; both: closures of the whole road; left out or empty: every one',
      }),
    ),
    weekdays: Type.Array(WeekdaySchema, { minItems: 1, uniqueItems: true, description: 'Days on which it starts' }),
    startsAt: ClockSchema,
    lengthHours: Type.Number({ exclusiveMinimum: 0, maximum: 24 * 28 }),
    from: IsoDateSchema,
    to: { ...IsoDateSchema, description: 'Last day on which it may start' },
    mostShiftHours: Type.Number({ minimum: 1, maximum: 16, default: 10 }),
    shiftStartsAt: Nullable({ ...ClockSchema, description: 'In a window of several shifts; null: when it starts' }),
  },
  closed,
);
export type WindowRule = Static<typeof WindowRuleSchema>;

export const CrewSchema = Type.Object(
  {
    id: KeySchema,
    name: NameSchema,
    teams: Type.Array(
      Type.Object(
        {
          operations: Type.Array(WorkOperationSchema, { minItems: 1, uniqueItems: true }),
          machines: Type.Integer({ minimum: 1, maximum: 20 }),
        },
        closed,
      ),
      { minItems: 1, maxItems: 8 },
    ),
    families: Type.Array(oneOf(SEALANT_FAMILIES, 'Sealants it has the machines for'), {
      minItems: 1,
      uniqueItems: true,
    }),
    paceFactor: Type.Number({ minimum: 0.1, maximum: 5, default: 1, description: '1: at the usual rates' }),
    away: Type.Array(Type.Object({ from: IsoDateSchema, to: IsoDateSchema }, closed), { maxItems: 100 }),
  },
  closed,
);

export const CLOSE_BY = ['facility', 'direction', 'lane'] as const;
/** How facilities whose segments tell a direction close in part; left out: they close as a whole. */
const PartRulesSchema = Type.Object(
  {
    closeBy: oneOf(
      CLOSE_BY,
      'facility: as a whole; direction: the direction of the work; lane: of that, the lanes that the work needs closed',
    ),
    directionsTogether: Type.Boolean({ description: 'Both directions of one facility may be closed at the same time' }),
    lanesTogether: Type.Boolean({
      description: 'By lane: lanes of one direction may be closed at the same time by two closures',
    }),
    acrossByHalves: Type.Boolean({
      description: 'A transverse joint across both directions is done one direction at a time, half of its length each',
    }),
  },
  closed,
);

/** How an agency's facilities may close, who works and how fast, and what the weather must be. */
export const ClosureRulesSchema = Type.Object(
  {
    scenarioId: Type.String({ description: 'Whose program is scheduled' }),
    year: Type.Integer({ minimum: 1900, maximum: 2300, description: 'Year of the program' }),
    facilityIds: Type.Array(KeySchema, { maxItems: 2000, description: 'Empty: all with work in that year' }),
    timeZone: Type.String({ maxLength: 64, description: 'IANA name, such as America/Chicago' }),
    exclusions: Type.Array(
      Type.Object({ facilityIds: Type.Tuple([KeySchema, KeySchema]), reason: ReasonSchema }, closed),
      { maxItems: 5000, description: 'Never closed at the same time' },
    ),
    safetyAreas: Type.Array(
      Type.Object(
        {
          facilityId: { ...KeySchema, description: 'Where the work is' },
          needsClosed: { ...KeySchema, description: 'Facility that must be closed meanwhile' },
          segmentIds: Type.Array(KeySchema, { maxItems: 10_000, description: 'Empty: all work of the facility' }),
          reason: ReasonSchema,
        },
        closed,
      ),
      { maxItems: 2000, description: 'Work in the safety area of an open runway, or that cuts another facility off' },
    ),
    parts: Type.Optional(PartRulesSchema),
    windows: Type.Array(WindowRuleSchema, { maxItems: 500 }),
    barred: Type.Array(
      Type.Object(
        { name: NameSchema, facilityId: Nullable(KeySchema), from: IsoDateSchema, to: IsoDateSchema },
        closed,
      ),
      { maxItems: 500, description: 'Days, both included, on which nothing (or one facility) may be closed' },
    ),
    noticeDays: Type.Integer({
      minimum: 0,
      maximum: 365,
      description: 'Days from the planning date to the first closure',
    }),
    earliestOn: Nullable(IsoDateSchema),
    latestOn: Nullable(IsoDateSchema),
    crews: Type.Array(CrewSchema, { maxItems: 50 }),
    paceAllowance: Type.Optional(
      Type.Number({
        minimum: 0,
        maximum: 0.5,
        description: 'Share of the working time of a shift that is left free for a slow night; left out: none',
      }),
    ),
    rates: Type.Array(
      Type.Object(
        {
          operation: Type.String({ maxLength: 60, description: 'A key of the table of rates, as in the defaults' }),
          metresPerHour: Type.Number({ exclusiveMinimum: 0, maximum: 10_000 }),
        },
        closed,
      ),
      { maxItems: 50, description: 'Rates that differ from the defaults' },
    ),
    openingMinutes: Type.Array(
      Type.Object({ sealantClass: SealantClassSchema, minutes: Type.Integer({ minimum: 0, maximum: 20_160 }) }, closed),
      { maxItems: 20, description: 'Times to opening that differ from the defaults' },
    ),
    setUpMinutes: Type.Integer({ minimum: 0, maximum: 1440 }),
    clearAwayMinutes: Type.Integer({ minimum: 0, maximum: 1440 }),
    washAfterSawing: Type.Boolean(),
    dryingHours: Type.Number({ minimum: 0, maximum: 240 }),
    openJoints: oneOf(
      ['same-closure', 'may-stay-open'],
      'same-closure: a joint opened is sealed before traffic returns; may-stay-open: sawn tonight, sealed another night',
    ),
    gateProfile: GateProfileSchema,
    leastChance: Type.Number({
      minimum: 0,
      maximum: 1,
      description: 'Windows with less chance of workable weather are not used',
    }),
    wastageFactor: Type.Number({ minimum: 1, maximum: 2, default: 1.2 }),
    closuresPerReserve: Nullable(Type.Integer({ minimum: 1, maximum: 100, description: 'null: no reserve windows' })),
    crewsAtOnce: Type.Integer({ minimum: 1, maximum: 20, default: 1, description: 'That have room in one facility' }),
  },
  closed,
);
export type ClosureRules = Static<typeof ClosureRulesSchema>;
