import type { Interval } from '../../server/schemas/common.ts';
import type { Program } from '../../server/schemas/program.ts';
import type { ScenarioInputs } from '../../server/schemas/scenario.ts';
import type { YearLine } from './program-spending.ts';
import { FACILITY_KIND_LABELS } from './words.ts';

/** A part of the network whose failed share is told. */
export interface FailedScope {
  readonly key: string;
  readonly scope: ScenarioInputs['targets'][number]['scope'];
  /** District or kind; null for the network. */ readonly name: string | null;
  readonly label: string;
}

/** The network, its districts and its kinds of facility. */
export function failedScopes({
  districts,
  facilityKinds,
}: Pick<Program, 'districts' | 'facilityKinds'>): FailedScope[] {
  const named = [...new Set(districts.map(({ district }) => district))].sort();
  const kinds = [...new Set(facilityKinds.map(({ facilityKind }) => facilityKind))];
  return [
    { key: 'network', scope: 'network', name: null, label: 'whole network' },
    ...named.map((name): FailedScope => ({ key: `district ${name}`, scope: 'district', name, label: name })),
    ...kinds.map(
      (name): FailedScope => ({
        key: `kind ${name}`,
        scope: 'facility-kind',
        name,
        label: `kind: ${FACILITY_KIND_LABELS[name].toLowerCase()}`,
      }),
    ),
  ];
}

interface YearShare {
  readonly year: number;
  readonly failedShare: Interval;
}

function sharesOf(program: Program, { scope, name }: FailedScope): readonly YearShare[] {
  if (scope === 'network') return program.years;
  return scope === 'district'
    ? program.districts.filter(({ district }) => district === name)
    : program.facilityKinds.filter(({ facilityKind }) => facilityKind === name);
}

const lineOf = (key: string, years: readonly YearShare[]): YearLine => ({
  key,
  points: years.map(({ year, failedShare }) => ({ year, value: failedShare })),
});

/** The program's line, and those of the baselines where wanted. */
export const failedShareLines = (program: Program, scope: FailedScope, baselines: boolean): YearLine[] => [
  ...(baselines ? program.baselines.map(({ baseline, years }) => lineOf(baseline, years)) : []),
  lineOf('program', sharesOf(program, scope)),
];

export interface FailedRow {
  readonly year: number;
  readonly value: Interval;
  /** In the order of the program's baselines; of the whole network only. */ readonly baselines: readonly Interval[];
}

export const failedShareRows = (program: Program, scope: FailedScope): FailedRow[] =>
  sharesOf(program, scope).map(({ year, failedShare }) => ({
    year,
    value: failedShare,
    baselines:
      scope.scope === 'network'
        ? program.baselines.flatMap(({ years }) => years.find((each) => each.year === year)?.failedShare ?? [])
        : [],
  }));

/** Targets of this part of the network, over the years that they hold in. */
export function targetsOf(
  { scope, name }: FailedScope,
  targets: ScenarioInputs['targets'],
  { years }: Pick<Program, 'years'>,
): { from: number; to: number; at: number }[] {
  const [first, last] = [years[0]?.year ?? 0, years.at(-1)?.year ?? 0];
  return targets
    .filter((target) => target.scope === scope && (scope === 'network' || target.name === name))
    .map(({ fromYear, atMostShare }) => ({ from: Math.max(first, fromYear ?? first), to: last, at: atMostShare }));
}
