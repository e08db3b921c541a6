import { OPERATION_RATES } from '../../analytics/closures/operation-rates.ts';
import { type ScenarioFault as Fault, repeated, someOf } from '../programs/scenario-fault.ts';
import { type ClosureRules, WORK_OPERATIONS } from '../schemas/closure-rules.ts';
import type { Facility } from '../schemas/facility.ts';
import type { Direction } from '../schemas/words.ts';
import type { Store } from '../store/store.ts';
import { ruleFits } from './plan-windows.ts';
import { isTimeZone } from './time-zone.ts';

/** Windows of all facilities that are still packed in reasonable time. */
export const MOST_WINDOWS = 200_000;

/** Everything in the rules that the records or the other rules speak against, each with field, value and what is allowed. */
export async function checkClosureRules(store: Store, rules: ClosureRules): Promise<Fault[]> {
  const facilities = new Map((await store.listFacilities()).map((facility) => [facility.id, facility]));
  const scenario = await store.findScenario(rules.scenarioId);
  return [
    ...(scenario ? [] : [{ field: 'scenarioId', found: rules.scenarioId, expected: 'the id of a scenario' }]),
    ...(isTimeZone(rules.timeZone)
      ? []
      : [{ field: 'timeZone', found: rules.timeZone, expected: 'an IANA time zone, such as America/Chicago' }]),
    ...checkFacilities(rules, facilities),
    ...checkDays(rules),
    ...checkLengths(rules),
    ...checkWindowCount(rules, [...facilities.values()], await store.closures.readDirections()),
    ...checkCrews(rules),
    ...checkRates(rules),
    ...(await checkSegments(store, rules)),
  ];
}

function checkFacilities(rules: ClosureRules, facilities: ReadonlyMap<string, Facility>): Fault[] {
  const known = (field: string, id: string): Fault[] =>
    facilities.has(id)
      ? []
      : [
          {
            field,
            found: id,
            expected: `the id of a facility on record: ${someOf(facilities.keys()) || 'there is none'}`,
          },
        ];
  const twice = (field: string, a: string, b: string): Fault[] =>
    a === b ? [{ field, found: a, expected: 'another facility than the first' }] : [];
  return [
    ...rules.facilityIds.flatMap((id, i) => known(`facilityIds.${i}`, id)),
    ...repeated(rules.facilityIds, (id) => id, { field: (i) => `facilityIds.${i}`, expected: 'a facility' }),
    ...rules.exclusions.flatMap(({ facilityIds: [a, b] }, i) => [
      ...known(`exclusions.${i}.facilityIds.0`, a),
      ...known(`exclusions.${i}.facilityIds.1`, b),
      ...twice(`exclusions.${i}.facilityIds.1`, a, b),
    ]),
    ...rules.safetyAreas.flatMap(({ facilityId, needsClosed }, i) => [
      ...known(`safetyAreas.${i}.facilityId`, facilityId),
      ...known(`safetyAreas.${i}.needsClosed`, needsClosed),
      ...twice(`safetyAreas.${i}.needsClosed`, facilityId, needsClosed),
    ]),
    ...rules.windows.flatMap(({ facilityIds }, i) =>
      facilityIds.flatMap((id, j) => known(`windows.${i}.facilityIds.${j}`, id)),
    ),
    ...rules.barred.flatMap(({ facilityId }, i) =>
      facilityId === null ? [] : known(`barred.${i}.facilityId`, facilityId),
    ),
  ];
}

const DAY = /^(\d{4})-(\d{2})-(\d{2})$/;
const isDay = (iso: string): boolean => {
  const [, year, month, day] = DAY.exec(iso) ?? [];
  const at = new Date(Date.UTC(Number(year), Number(month) - 1, Number(day)));
  return Number(year) >= 1900 && Number(year) <= 2300 && at.toISOString().slice(0, 10) === iso;
};

/** Days that the calendar does not have, and spans that end before they begin. */
function checkDays(rules: ClosureRules): Fault[] {
  const day = (field: string, iso: string | null): Fault[] =>
    iso === null || isDay(iso)
      ? []
      : [{ field, found: iso, expected: 'a day of the calendar from 1900 to 2300, as YYYY-MM-DD' }];
  const span = (field: string, { from, to }: { from: string; to: string }): Fault[] => [
    ...day(`${field}.from`, from),
    ...day(`${field}.to`, to),
    ...(from > to ? [{ field: `${field}.to`, found: to, expected: `${from} or later: it begins then` }] : []),
  ];
  const { earliestOn, latestOn } = rules;
  const crossed = earliestOn !== null && latestOn !== null && earliestOn > latestOn;
  return [
    ...rules.windows.flatMap((window, i) => span(`windows.${i}`, window)),
    ...rules.barred.flatMap((barred, i) => span(`barred.${i}`, barred)),
    ...rules.crews.flatMap(({ away }, i) => away.flatMap((each, j) => span(`crews.${i}.away.${j}`, each))),
    ...day('earliestOn', earliestOn),
    ...day('latestOn', latestOn),
    ...(crossed ? [{ field: 'latestOn', found: latestOn, expected: `${earliestOn} or later: the earliest day` }] : []),
  ];
}

const LEAST_HOURS = 0.25;

/** A window in which nobody could set up, let alone work. */
const checkLengths = ({ windows }: ClosureRules): Fault[] =>
  windows.flatMap(({ lengthHours }, i) =>
    lengthHours >= LEAST_HOURS
      ? []
      : [{ field: `windows.${i}.lengthHours`, found: String(lengthHours), expected: `${LEAST_HOURS} h or more` }],
  );

const MS_PER_WEEK = 7 * 86_400_000;

/** So many windows that neither a person nor the solver could look through them. */
function checkWindowCount(
  rules: ClosureRules,
  facilities: readonly Facility[],
  directionsOf: ReadonlyMap<string, readonly Direction[]>,
): Fault[] {
  const wanted = new Set(rules.facilityIds);
  const inPlan = facilities.filter(({ id }) => wanted.size === 0 || wanted.has(id));
  const count = rules.windows.reduce((sum, window) => {
    const weeks = Math.max(0, Date.parse(window.to) - Date.parse(window.from)) / MS_PER_WEEK;
    const fitting = inPlan
      .filter((facility) => ruleFits(window, facility))
      .reduce((units, { id }) => units + mostUnits(rules, directionsOf.get(id) ?? []), 0);
    return sum + (Number.isFinite(weeks) ? (weeks + 1) * window.weekdays.length * fitting : 0);
  }, 0);
  if (count <= MOST_WINDOWS) return [];
  const expected = `at most ${MOST_WINDOWS.toLocaleString('en')} windows in all: fewer facilities, weekdays or weeks`;
  return [{ field: 'windows', found: `about ${Math.round(count).toLocaleString('en')} windows`, expected }];
}

/** Groups of lanes in a direction, about: two lanes, and the joint between them. */
const LANE_GROUPS = 3;

/** How many things of a facility may close by themselves: each part, and the whole. */
function mostUnits({ parts }: ClosureRules, directions: readonly Direction[]): number {
  if (!parts || parts.closeBy === 'facility' || directions.length === 0) return 1;
  return 1 + directions.length * (parts.closeBy === 'lane' ? LANE_GROUPS : 1);
}

function checkCrews({ crews }: ClosureRules): Fault[] {
  const doubles = crews.flatMap(({ teams }, i) => {
    const all = teams.flatMap(({ operations }, t) => operations.map((operation) => ({ operation, t })));
    const name = ({ operation }: (typeof all)[number]) => operation;
    const field = (at: number) => `crews.${i}.teams.${all[at].t}.operations`;
    return repeated(all, name, { field, expected: 'an operation of one team' });
  });
  return [
    ...repeated(crews, ({ id }) => id, { field: (i) => `crews.${i}.id`, expected: 'an id' }),
    ...doubles,
    ...WORK_OPERATIONS.filter((operation) => crews.length > 0 && !crews.some((crew) => does(crew, operation))).map(
      (operation) => ({
        field: 'crews',
        found: `none to ${operation.replaceAll('-', ' ')}`,
        expected: 'a crew for each operation',
      }),
    ),
  ];
}

const does = ({ teams }: ClosureRules['crews'][number], operation: (typeof WORK_OPERATIONS)[number]): boolean =>
  teams.some(({ operations }) => operations.includes(operation));

function checkRates({ rates, openingMinutes }: ClosureRules): Fault[] {
  const keys = Object.keys(OPERATION_RATES);
  return [
    ...rates.flatMap(({ operation }, i) =>
      keys.includes(operation)
        ? []
        : [{ field: `rates.${i}.operation`, found: operation, expected: `one of ${keys.join(', ')}` }],
    ),
    ...repeated(rates, ({ operation }) => operation, { field: (i) => `rates.${i}.operation`, expected: 'a rate' }),
    ...repeated(openingMinutes, ({ sealantClass }) => sealantClass, {
      ...{ field: (i: number) => `openingMinutes.${i}.sealantClass`, expected: 'a class' },
    }),
  ];
}

async function checkSegments(store: Store, { safetyAreas }: ClosureRules): Promise<Fault[]> {
  const named = safetyAreas.flatMap(({ segmentIds }) => segmentIds);
  const known = await store.readSegmentFacts([...new Set(named)]);
  return safetyAreas.flatMap(({ segmentIds, facilityId }, i) =>
    segmentIds.flatMap((id, j) => {
      const segment = known.get(id);
      if (segment?.facilityId === facilityId) return [];
      const expected = segment ? `a segment of ${facilityId}` : 'the id of a segment on record';
      return [{ field: `safetyAreas.${i}.segmentIds.${j}`, found: id, expected }];
    }),
  );
}
