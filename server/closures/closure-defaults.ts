import { USUAL_TEAMS } from '../../analytics/closures/crew-pace.ts';
import { OPERATION_RATES } from '../../analytics/closures/operation-rates.ts';
import { DRYING_HOURS, openingTime, WASTAGE_FACTOR } from '../../analytics/closures/sealant-rules.ts';
import { GATE_PROFILES } from '../../analytics/closures/weather-gates.ts';
import { ProblemError } from '../problems.ts';
import { type ClosureRules, GATE_PROFILES as PROFILES, SEALANT_FAMILIES, WEEKDAYS } from '../schemas/closure-rules.ts';
import type { ClosureDefaults } from '../schemas/closures.ts';
import type { Facility } from '../schemas/facility.ts';
import { SEALANT_CLASSES } from '../schemas/words.ts';
import type { StoredScenario } from '../store/scenario-store.ts';
import type { Store } from '../store/store.ts';
import { gateWords } from './gate-words.ts';
import { likelyTimeZone } from './time-zone.ts';
import { workOrder } from './work-order.ts';
import { coldestWorkC } from './work-settings.ts';

const AIRFIELD: ReadonlySet<Facility['kind']> = new Set<Facility['kind']>(['runway', 'taxiway', 'apron']);

export interface DefaultsWish {
  readonly scenarioId?: string;
  readonly year?: number;
}

/** Where a new plan starts: what the records say where they say something, else a stated default. */
export async function closureDefaults(store: Store, wish: DefaultsWish): Promise<ClosureDefaults> {
  const scenario = await chosenScenario(store, wish.scenarioId);
  const { year, lengthByFacility } = await yearWithWork(store, scenario, wish.year);
  const known = await store.listFacilities();
  const worked = known.filter(({ id }) => lengthByFacility.has(id));
  const facilities = worked.length > 0 ? worked : known;
  const places = await store.closures.readFacilityPlaces();
  const place = facilities.flatMap(({ id }) => places.get(id) ?? [])[0] ?? null;
  const directions = await store.closures.readDirections();
  const rules = defaultRules({ scenarioId: scenario.id, year, facilities, timeZone: likelyTimeZone(place) });
  const worksOfYear = [...lengthByFacility].map(([facilityId, lengthM]) => ({ facilityId, lengthM }));
  return {
    rules,
    ...sources(rules),
    ...workOrder(),
    worksOfYear,
    reasons: reasonsOf(rules, facilities, {
      ...{ scenario: scenario.name, directed: facilities.some(({ id }) => directions.has(id)) },
    }),
  };
}

async function chosenScenario(store: Store, id: string | undefined): Promise<StoredScenario> {
  if (id !== undefined) {
    const scenario = await store.findScenario(id);
    if (!scenario) throw new ProblemError('not-found', `No scenario ${id}. List: GET /api/scenarios`);
    return scenario;
  }
  const scenarios = await store.listScenarios();
  const chosen = scenarios.findLast(({ program }) => program !== null) ?? scenarios.at(-1);
  if (!chosen)
    throw new ProblemError(
      'not-suitable',
      'There is no scenario whose program could be scheduled. POST /api/scenarios first.',
    );
  return chosen;
}

/** The year asked for, else the first with work; and the length of work in it by facility, m. */
async function yearWithWork(store: Store, { id, program }: StoredScenario, asked: number | undefined) {
  const byYear = new Map<number, Map<string, number>>();
  for await (const batch of store.readWorks(id, 'segment'))
    for (const { year, facilityId, lengthM } of batch) {
      const lengths = byYear.get(year) ?? new Map<string, number>();
      byYear.set(year, lengths.set(facilityId, (lengths.get(facilityId) ?? 0) + lengthM));
    }
  const planned = program === null ? null : Number(program.planningDate.slice(0, 4));
  const first = [...byYear.keys()].sort((a, b) => a - b)[0];
  const year = asked ?? first ?? planned ?? Number((await store.readSettings()).planningDate?.slice(0, 4) ?? 0);
  if (year < 1900)
    throw new ProblemError(
      'not-suitable',
      'The scenario has no program yet, so no year has work. Say which: ?year=2027.',
    );
  return { year, lengthByFacility: byYear.get(year) ?? new Map<string, number>() };
}

interface DefaultsGround {
  readonly scenarioId: string;
  readonly year: number;
  readonly facilities: readonly Facility[];
  readonly timeZone: string;
}

function defaultRules({ scenarioId, year, facilities, timeZone }: DefaultsGround): ClosureRules {
  const airfield = facilities.some(({ kind }) => AIRFIELD.has(kind));
  return {
    ...{ scenarioId, year, facilityIds: [], timeZone },
    exclusions: runwayPairs(facilities),
    safetyAreas: [],
    parts: { closeBy: 'direction', directionsTogether: false, lanesTogether: false, acrossByHalves: true },
    windows: defaultWindows(year, facilities),
    barred: [],
    ...{ noticeDays: airfield ? 28 : 14, earliestOn: null, latestOn: null },
    crews: [
      {
        ...{ id: 'crew-1', name: 'Crew 1', paceFactor: 1, away: [], families: [...SEALANT_FAMILIES] },
        teams: USUAL_TEAMS.map(({ operations, machines }) => ({ operations: [...operations], machines })),
      },
    ],
    ...{ rates: [], openingMinutes: [], setUpMinutes: 30, clearAwayMinutes: 30 },
    ...{ washAfterSawing: false, dryingHours: DRYING_HOURS, openJoints: 'same-closure' },
    gateProfile: airfield ? 'airfield-50f-rising' : 'state-40f',
    ...{ leastChance: 0.3, paceAllowance: 0.15, wastageFactor: WASTAGE_FACTOR, closuresPerReserve: 4, crewsAtOnce: 1 },
  };
}

/** Runways of one district: an airport keeps one open. */
function runwayPairs(facilities: readonly Facility[]): ClosureRules['exclusions'] {
  const runways = facilities.filter(({ kind }) => kind === 'runway');
  return runways.flatMap((a, i) =>
    runways
      .slice(i + 1)
      .filter((b) => b.district === a.district)
      .map((b) => ({ facilityIds: [a.id, b.id] as [string, string], reason: 'One runway stays open.' })),
  );
}

function defaultWindows(year: number, facilities: readonly Facility[]): ClosureRules['windows'] {
  const kinds = [...new Set(facilities.map(({ kind }) => kind))];
  const airfield = kinds.filter((kind) => AIRFIELD.has(kind));
  const roads = kinds.filter((kind) => !AIRFIELD.has(kind));
  const usual = {
    facilityIds: [],
    from: `${year}-01-01`,
    to: `${year}-12-31`,
    mostShiftHours: 10,
    shiftStartsAt: null,
  };
  return [
    ...(airfield.length === 0
      ? []
      : [
          {
            ...{ ...usual, name: 'Nights', facilityKinds: airfield, weekdays: [...WEEKDAYS] },
            ...{ startsAt: '23:00', lengthHours: 6 },
          },
        ]),
    ...(roads.length === 0
      ? []
      : [
          {
            ...{ ...usual, name: 'Weeknights', facilityKinds: roads, weekdays: WEEKDAYS.slice(0, 4) },
            ...{ startsAt: '21:00', lengthHours: 8 },
          },
        ]),
  ];
}

function sources(rules: ClosureRules): Pick<ClosureDefaults, 'rates' | 'gates' | 'openings'> {
  const airC = coldestWorkC(rules);
  return {
    rates: Object.entries(OPERATION_RATES).map(([key, { bracket, ...rate }]) => ({
      ...{ key, operation: key.split('/')[0], ...rate, bracket: [bracket[0], bracket[1]] as [number, number] },
    })),
    gates: PROFILES.map((profile) => ({ profile, ...gateWords({ id: profile, ...GATE_PROFILES[profile] }) })),
    openings: SEALANT_CLASSES.filter((sealantClass) => sealantClass !== 'unknown').map((sealantClass) => ({
      sealantClass,
      ...openingTime(sealantClass, airC),
      minutesByGate: Object.fromEntries(
        PROFILES.map((gateProfile) => [gateProfile, openingTime(sealantClass, coldestWorkC({ gateProfile })).minutes]),
      ),
    })),
  };
}

interface ReasonsGround {
  readonly scenario: string;
  /** Some facility tells directions. */ readonly directed: boolean;
}

function reasonsOf(
  rules: ClosureRules,
  facilities: readonly Facility[],
  { scenario, directed }: ReasonsGround,
): ClosureDefaults['reasons'] {
  const airfield = facilities.some(({ kind }) => AIRFIELD.has(kind));
  const reason = (field: keyof ClosureRules, sentence: string) => ({ field, sentence });
  return [
    reason('scenarioId', `The program of ${scenario}.`),
    reason('year', 'The first year of the program that has work, unless you say another.'),
    reason('facilityIds', 'All facilities with work in that year.'),
    reason(
      'timeZone',
      'A guess from where the pavement lies, or the zone of this computer. Make sure that it is yours.',
    ),
    reason(
      'exclusions',
      rules.exclusions.length > 0
        ? 'Two runways of one district are never closed together: one stays open. Add taxiways that cut a runway off.'
        : 'None: there are no two runways in one district. Add pairs of which one must stay open.',
    ),
    reason(
      'safetyAreas',
      'None on record. Name the segments that lie in the safety area of a runway: work there needs it closed.',
    ),
    reason(
      'parts',
      directed
        ? 'Common practice: a road closes one direction at a time, the other stays open, and joints across both are done half by half. What tells no direction closes as a whole.'
        : 'No facility here tells directions on record: each closes as a whole.',
    ),
    reason(
      'windows',
      'Common practice: airfields at night from 23:00 to 05:00, roads on the nights of Monday to Thursday from 21:00 to 05:00. The weather decides which months are used.',
    ),
    reason('barred', 'None on record. Name holidays and events.'),
    reason(
      'noticeDays',
      `${rules.noticeDays} days: common practice${airfield ? ', one cycle of aeronautical publication (28 days)' : ''}. Ask the authority.`,
    ),
    reason('earliestOn', 'No earliest day besides the notice.'),
    reason('latestOn', 'No latest day.'),
    reason(
      'crews',
      'One crew for all operations in three teams: two saws, one blaster, one sealing machine. Common practice.',
    ),
    reason(
      'paceAllowance',
      '15 %: an assumption. A shift planned full finishes, by pace alone, one time in two; with 15 % left free about three times in four.',
    ),
    reason(
      'rates',
      'As in the table: read for crack work with the same machines, or common practice. Each shows its source.',
    ),
    reason('openingMinutes', 'As in the table, at the coldest air in which the limits let work go on.'),
    reason('setUpMinutes', '30 min: an assumption. Barriers, lights, escort, machines in place.'),
    reason('clearAwayMinutes', '30 min: an assumption. Sweep, inspect, hand back.'),
    reason('washAfterSawing', 'No: joints are sawn with dust extraction and vacuumed, so that one night is enough.'),
    reason(
      'dryingHours',
      `${rules.dryingHours} h where joints are washed: common practice, several hours to several days.`,
    ),
    reason(
      'openJoints',
      'A joint opened is sealed before traffic returns: TM 5-822-11 prepares no more than is sealed the same day.',
    ),
    reason(
      'gateProfile',
      airfield
        ? 'Airfield pavement among the facilities: UFC 3-250-08FA (TM 5-822-11), pavement 50 °F or more and rising, dry.'
        : 'Air and pavement 40 °F or more, dry: one state’s specification. Published limits differ; take your own.',
    ),
    reason(
      'leastChance',
      'Windows in which the weather fails more than seven times in ten are not used: an assumption.',
    ),
    reason(
      'wastageFactor',
      '1.2: twenty per cent more sealant than the reservoir holds (FHWA-RD-99-146, from memory).',
    ),
    reason('closuresPerReserve', 'One window kept free for every four closures: an assumption. Wet seasons need more.'),
    reason('crewsAtOnce', 'One crew at a time in each facility.'),
  ];
}
