import type { Schedule as PackedSchedule } from '../../analytics/closures/closure-plan.ts';
import type { ScheduleHead } from '../schemas/closures.ts';
import type { StoredClosurePlan } from '../store/closure-store.ts';
import { partWords } from './closing-unit.ts';
import type { ClosureDraft } from './closure-document.ts';
import type { ClosureGround } from './closure-problem.ts';
import { CLOSURE_CAUTIONS, closureAssumptions } from './closure-words.ts';
import { gateWords } from './gate-words.ts';
import type { JudgedHours } from './plan-weather.ts';
import type { ToldChances } from './schedule-chances.ts';
import { scheduleSentence, scheduleTotals } from './schedule-totals.ts';

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
  const unplacedM = unplaced.reduce((sum, { lengthM }) => sum + lengthM, 0);
  const totals = { ...scheduleTotals(closures, unplacedM), leftM: 0, ...chances };
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

const sentenceOf = ({ ground, closures }: HeadGround, totals: ScheduleHead['totals']): string =>
  ground.planned.length === 0
    ? `The program has no work in ${ground.rules.year} at these facilities.`
    : scheduleSentence(closures, totals);

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
