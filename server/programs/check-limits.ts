import type { ScenarioInputs } from '../schemas/scenario.ts';
import { FACILITY_KINDS } from '../schemas/words.ts';
import { repeated, type ScenarioFault, type ScenarioGround, someOf, yearFault } from './scenario-fault.ts';

type DistrictLimit = ScenarioInputs['budgets']['districts'][number];

/** Faults of budgets and targets. */
export const checkLimits = (ground: ScenarioGround): ScenarioFault[] => [
  ...checkYears(ground),
  ...checkDistricts(ground),
  ...checkFloors(ground),
  ...checkTargets(ground),
];

function checkYears(ground: ScenarioGround): ScenarioFault[] {
  const { byYear } = ground.inputs.budgets;
  return [
    ...byYear.flatMap(({ year }, i) => yearFault(`budgets.byYear.${i}.year`, year, ground)),
    ...repeated(byYear, ({ year }) => String(year), {
      field: (i) => `budgets.byYear.${i}.year`,
      expected: 'a year',
    }),
  ];
}

function checkDistricts(ground: ScenarioGround): ScenarioFault[] {
  const { districts } = ground.inputs.budgets;
  const faults = districts.flatMap((limit, i) => {
    const field = `budgets.districts.${i}`;
    return [
      ...districtFault(`${field}.district`, limit.district, ground),
      ...(limit.year === null ? [] : yearFault(`${field}.year`, limit.year, ground)),
      ...ownFaults(field, limit),
    ];
  });
  const doubles = repeated(districts, ({ district, year }) => `${district} in ${year ?? 'every year'}`, {
    field: (i) => `budgets.districts.${i}`,
    expected: 'a district and year',
  });
  return [...faults, ...doubles];
}

function ownFaults(field: string, { atLeast, atMost }: DistrictLimit): ScenarioFault[] {
  if (atLeast === null && atMost === null)
    return [{ field, found: 'neither atLeast nor atMost', expected: 'at least one of them' }];
  if (atLeast !== null && atMost !== null && atLeast > atMost)
    return [{ field: `${field}.atLeast`, found: String(atLeast), expected: `no more than atMost, ${atMost}` }];
  return [];
}

function districtFault(field: string, district: string, { districts }: ScenarioGround): ScenarioFault[] {
  if (districts.has(district)) return [];
  return [{ field, found: district, expected: `a district on record: ${someOf(districts)}` }];
}

/** What a district's floor is in one year: a row of that year takes the place of the row of every year. */
export function districtLimitsIn(limits: readonly DistrictLimit[], year: number): DistrictLimit[] {
  const own = limits.filter((limit) => limit.year === year);
  const named = new Set(own.map(({ district }) => district));
  return [...own, ...limits.filter((limit) => limit.year === null && !named.has(limit.district))];
}

/** At most this in a year, in the money that the budgets are in; null: no limit. */
export function budgetIn({ everyYear, byYear }: ScenarioInputs['budgets'], year: number): number | null {
  const own = byYear.find((each) => each.year === year);
  return own ? own.atMost : everyYear;
}

/** Floors of districts that together ask for more than the year has: told of the first such year. */
function checkFloors({ inputs: { budgets }, firstYear, lastYear }: ScenarioGround): ScenarioFault[] {
  for (let year = firstYear; year <= lastYear; year++) {
    const atMost = budgetIn(budgets, year);
    const floors = districtLimitsIn(budgets.districts, year).reduce((sum, { atLeast }) => sum + (atLeast ?? 0), 0);
    if (atMost !== null && floors > atMost)
      return [
        {
          field: 'budgets.districts',
          found: `floors that come to ${floors} in ${year}`,
          expected: `no more than the budget of that year, ${atMost}`,
        },
      ];
  }
  return [];
}

function checkTargets(ground: ScenarioGround): ScenarioFault[] {
  const { targets, question } = ground.inputs;
  if (question === 'least-budget' && targets.length === 0)
    return [
      {
        field: 'targets',
        found: 'empty',
        expected: 'at least one target: without one, the least spending is none at all',
      },
    ];
  const faults = targets.flatMap((target, i) => [
    ...targetNameFault(`targets.${i}.name`, target, ground),
    ...(target.fromYear === null ? [] : yearFault(`targets.${i}.fromYear`, target.fromYear, ground)),
  ]);
  const keyOf = ({ scope, name, fromYear }: (typeof targets)[number]) =>
    `${scope} ${name ?? ''} from ${fromYear ?? 'the first year'}`;
  return [...faults, ...repeated(targets, keyOf, { field: (i) => `targets.${i}`, expected: 'a part and first year' })];
}

function targetNameFault(
  field: string,
  { scope, name }: ScenarioInputs['targets'][number],
  ground: ScenarioGround,
): ScenarioFault[] {
  if (scope === 'network') return name === null ? [] : [{ field, found: name, expected: 'null for the network' }];
  if (scope === 'district') return districtFault(field, name ?? 'null', ground);
  const kinds: ReadonlySet<string> = ground.facilityKinds;
  if (kinds.has(name ?? '')) return [];
  const known = FACILITY_KINDS.filter((kind) => kinds.has(kind)).join(', ');
  return [{ field, found: name ?? 'null', expected: `a facility kind on record: ${known}` }];
}
