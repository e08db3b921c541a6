import type { Schedule as PackedSchedule } from '../../analytics/closures/closure-plan.ts';
import type { Closure, ScheduleHead } from '../schemas/closures.ts';
import type { StoredClosurePlan } from '../store/closure-store.ts';
import { partWords } from './closing-unit.ts';
import type { ClosureDraft } from './closure-document.ts';
import type { ClosureGround } from './closure-problem.ts';
import { CLOSURE_CAUTIONS, closureAssumptions } from './closure-words.ts';
import { gateWords } from './gate-words.ts';
import type { JudgedHours } from './plan-weather.ts';
import type { ToldChances } from './schedule-chances.ts';

export interface HeadGround {
  readonly plan: StoredClosurePlan;
  readonly ground: ClosureGround;
  readonly packed: PackedSchedule;
  readonly chances: ToldChances;
  /** By facility, in words. */ readonly changes: ReadonlyMap<string, string>;
  /** All of the schedule, kept ones too. */ readonly closures: readonly ClosureDraft[];
  readonly scenarioName: string;
  readonly planningDate: string;
  readonly madeAt: string;
}

export const percentWords = (share: number): string => `${+(share * 100).toFixed(1)} %`;

/** All of a schedule but its closures. */
export function scheduleHead(head: HeadGround): ScheduleHead {
  const { plan, ground, packed, chances, closures, planningDate } = head;
  const unplaced = unplacedAnswer(head);
  const totals = { ...totalsOf(closures, unplaced), ...chances };
  return {
    ...{ planId: plan.id, planName: plan.name, planRevision: plan.revision, scenarioName: head.scenarioName },
    ...{ year: plan.rules.year, timeZone: plan.rules.timeZone, madeAt: head.madeAt },
    sentence: sentenceOf(head, totals),
    unplaced,
    refused: [...ground.refused],
    totals,
    proof: { ...proofNumbers(packed), sentence: proofSentence(packed) },
    workable: ground.weather.judged.map(workableAnswer),
    gateProfile: plan.rules.gateProfile,
    assumptions: closureAssumptions(plan.rules, planningDate),
    cautions: [...CLOSURE_CAUTIONS],
  };
}

const proofNumbers = ({ proof: { workGapShare, costGapShare, ended } }: PackedSchedule) => ({
  ...{ workGapShare, costGapShare, ended },
});

function proofSentence({ proof: { workGapShare, costGapShare, ended } }: PackedSchedule): string {
  const work =
    workGapShare < 1e-6
      ? 'No schedule places more work'
      : `No schedule places more than ${percentWords(workGapShare)} beyond this`;
  const cost =
    costGapShare < 1e-6
      ? 'none that places as much costs less'
      : `none that places as much costs less by more than ${percentWords(costGapShare)}`;
  const end = {
    optimal: '',
    'within-gap': '',
    'effort-spent': ' The search ended with its effort spent.',
    cancelled: ' It was stopped, and the best so far was kept.',
  }[ended];
  return `${work}; ${cost}.${end}`;
}

const sum = (values: readonly number[]): number => values.reduce((all, value) => all + value, 0);
const sealedM = (works: Closure['works']): number =>
  sum(works.filter(({ pass }) => pass !== 'open').map(({ lengthM }) => lengthM));

function totalsOf(closures: readonly ClosureDraft[], unplaced: ScheduleHead['unplaced']) {
  const standing = closures.filter(({ state }) => state !== 'lost');
  return {
    closures: standing.length,
    crewShifts: sum(standing.map(({ crews }) => crews.length)),
    lengthM: sum(standing.map(({ works }) => sealedM(works))),
    unplacedM: sum(unplaced.map(({ lengthM }) => lengthM)),
    litres: sum(standing.flatMap(({ sealant }) => sealant.map(({ litres }) => litres ?? 0))),
    rodM: sum(standing.flatMap(({ rods }) => rods.map(({ metres }) => metres))),
    crewHours: sum(standing.map(({ crewHours }) => crewHours)),
  };
}

function unplacedAnswer({ ground, packed, changes }: HeadGround): ScheduleHead['unplaced'] {
  const blocks = new Map(ground.problem.blocks.map((block) => [block.id, block]));
  return packed.unplaced.flatMap(({ blockId, pieceIds, lengthM, rule, reason }) => {
    const block = blocks.get(blockId);
    if (!block) return [];
    const wanted = new Set(pieceIds);
    const segmentIds = block.pieces.filter(({ id }) => wanted.has(id)).map(({ segmentId }) => segmentId);
    const unit = ground.units.get(block.facilityId);
    if (!unit) return [];
    const { facility, direction, lanes } = unit;
    const told = direction === null ? {} : { part: partWords(direction, lanes) };
    return [
      {
        ...{ facilityId: facility.id, facilityName: facility.name, ...told },
        segmentIds: [...new Set(segmentIds)],
        lengthM,
        rule,
        reason,
        change: changes.get(block.facilityId) ?? null,
      },
    ];
  });
}

function sentenceOf(
  { ground, closures }: HeadGround,
  { lengthM, unplacedM }: Pick<ScheduleHead['totals'], 'lengthM' | 'unplacedM'>,
): string {
  const standing = closures.filter(({ state }) => state !== 'lost');
  if (ground.planned.length === 0) return `The program has no work in ${ground.rules.year} at these facilities.`;
  const metres = (value: number) => `${Math.round(value).toLocaleString('en-US')} m`;
  const rest = unplacedM < 0.5 ? 'all of the work' : `${metres(lengthM)} of joint; ${metres(unplacedM)} do not fit`;
  const facilities = new Set(standing.map(({ facilityId }) => facilityId)).size;
  const [first, last] = [standing[0]?.startsAt.slice(0, 10), standing.at(-1)?.startsAt.slice(0, 10)];
  if (first === undefined || last === undefined) return `No closure is possible: ${metres(unplacedM)} do not fit.`;
  const when = first === last ? `on ${first}` : `from ${first} to ${last}`;
  return `${standing.length} closures of ${facilities} ${facilities === 1 ? 'facility' : 'facilities'} ${when} for ${rest}.`;
}

const two = (value: number): string => String(value).padStart(2, '0');
const clock = (minute: number): string => `${two(Math.floor(minute / 60) % 24)}:${two(minute % 60)}`;

function workableAnswer({
  stationId,
  facilityIds,
  gate,
  found,
  startMinuteOfDay,
  lengthMinutes,
}: JudgedHours): ScheduleHead['workable'][number] {
  const { words, source } = gateWords(gate);
  const shared = {
    ...{ stationId, facilityIds: [...facilityIds], gate: `${words} (${source})`, years: found.years },
    hours: `${clock(startMinuteOfDay)} to ${clock(startMinuteOfDay + lengthMinutes)}`,
  };
  if (found.kind === 'refused') return { ...shared, refused: found.reason, rule: '', months: [] };
  return {
    ...{ ...shared, refused: null, rule: found.rule },
    months: found.months.map(({ missing: _missing, days, pairs, longestRun, ...month }) => ({
      ...{ ...month, days: { ...days }, pairs: { ...pairs }, longestRun: { ...longestRun } },
    })),
  };
}
