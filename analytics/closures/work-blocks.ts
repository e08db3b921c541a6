import type { CivilMinute, WorkBlock, WorkPass, WorkPiece } from './closure-plan.ts';
import { MINUTES_PER_DAY } from './closure-plan.ts';
import { type CrewMakeUp, crewPace } from './crew-pace.ts';
import { OPERATION_RATES, type OperationRates } from './operation-rates.ts';
import {
  DRYING_HOURS,
  LEAST_CONCRETE_AGE_DAYS,
  MOST_DAYS_PREPARED_JOINT_OPEN,
  openingTime,
  refusedClass,
} from './sealant-rules.ts';
import { type OperationKind, type ResealTreatment, resealOperations } from './work-operations.ts';

/** One segment to be resealed. Jobs come in order along the pavement of each facility. */
export interface ResealJob extends ResealTreatment {
  readonly segmentId: string;
  readonly facilityId: string;
  /** Sealed length of the segment, or of the part of it that is meant, m. */ readonly lengthM: number;
  /** Where that part begins in the sealed length of the segment, m; 0 unless said. */ readonly fromM?: number;
  readonly weightPerM: number;
  readonly fuelExposure: boolean;
  /** Facilities in whose safety area the segment lies. */ readonly requiresClosed: readonly string[];
  /** Weather limits, as a name. */ readonly gateId: string;
  /** Day number on which the concrete was placed, where it is new; null: long ago. */
  readonly concretePlacedDay: number | null;
}

export interface WorkSettings {
  readonly rates: OperationRates;
  readonly crews: readonly CrewMakeUp[];
  /** `same-closure`: a joint opened is sealed before traffic returns. `may-stay-open`: sawn tonight, sealed later. */
  readonly openJoints: 'same-closure' | 'may-stay-open';
  readonly dryingHours: number;
  /** Where joints may stay open: hours from the end of the shift that opened them until they are sealed. */
  readonly mostHoursOpen: number;
  /** Longest shift of any window, min: whether a joint can dry within one. */ readonly longestShiftMinutes: number;
  /** Air at which the time to opening is read, °C. */ readonly airC: number;
  /** Time to opening in place of the default, min, by class. */ readonly openingMinutes: Readonly<
    Record<string, number>
  >;
  /** Longer segments are cut into equal parts, m. */ readonly mostPieceM: number;
}

/** Common practice, to be edited; silicone opens later when it is colder. */
export const USUAL_WORK: Omit<WorkSettings, 'crews' | 'longestShiftMinutes'> = {
  rates: OPERATION_RATES,
  openJoints: 'same-closure',
  dryingHours: DRYING_HOURS,
  mostHoursOpen: 24 * MOST_DAYS_PREPARED_JOINT_OPEN,
  airC: 10,
  openingMinutes: {},
  mostPieceM: 100,
};

export interface RefusedJob {
  readonly segmentId: string;
  readonly reason: string;
}

/** Blocks of work, and the jobs that a standard or the lack of any crew forbids, with the reason. */
export interface WorkPlan {
  readonly blocks: readonly WorkBlock[];
  readonly refused: readonly RefusedJob[];
}

/**
 * Puts the segments of each facility that are worked alike into one block, in the order given.
 * @throws RangeError when a length or weight is not above 0
 */
export function workBlocks(jobs: readonly ResealJob[], settings: WorkSettings): WorkPlan {
  const refused: RefusedJob[] = [];
  const groups = new Map<string, ResealJob[]>();
  for (const job of jobs) {
    if (!(job.lengthM > 0)) throw new RangeError(`lengthM of ${job.segmentId} is ${job.lengthM}; expected above 0`);
    if (!(job.weightPerM > 0))
      throw new RangeError(`weightPerM of ${job.segmentId} is ${job.weightPerM}; expected above 0`);
    const reason = refusedClass(job.newClass, job.fuelExposure) ?? whyNoCrew(job, settings);
    if (reason !== null) {
      refused.push({ segmentId: job.segmentId, reason });
      continue;
    }
    const key = likeness(job);
    const group = groups.get(key);
    if (group) group.push(job);
    else groups.set(key, [job]);
  }
  const numberOf = new Map<string, number>();
  const blocks = [...groups.values()].map((group): WorkBlock => {
    const [{ facilityId, weightPerM, requiresClosed, gateId, concretePlacedDay }] = group;
    const number = (numberOf.get(facilityId) ?? 0) + 1;
    numberOf.set(facilityId, number);
    return {
      id: `${facilityId}/${number}`,
      facilityId,
      weightPerM,
      requiresClosed,
      gateId,
      pieces: group.flatMap((job) => cutIntoPieces(job.segmentId, job, settings.mostPieceM)),
      passes: workPasses(group[0], settings),
      earliestMinute: concretePlacedDay === null ? null : oldEnough(concretePlacedDay),
      latestMinute: null,
    };
  });
  return { blocks, refused };
}

/** First minute at which concrete placed on a day is 7 full days old. */
export const oldEnough = (placedDay: number): CivilMinute =>
  (placedDay + 1 + LEAST_CONCRETE_AGE_DAYS) * MINUTES_PER_DAY;

const likeness = (job: ResealJob): string =>
  JSON.stringify([
    job.facilityId,
    job.oldClass,
    job.newClass,
    job.washAfterSawing,
    job.withRod,
    job.weightPerM,
    [...job.requiresClosed].sort(),
    job.gateId,
    job.concretePlacedDay,
  ]);

/** Equal parts, none longer than `mostPieceM`. */
export function cutIntoPieces(
  segmentId: string,
  { lengthM, fromM: beginM = 0 }: Pick<ResealJob, 'lengthM' | 'fromM'>,
  mostPieceM: number,
): WorkPiece[] {
  const parts = Math.max(1, Math.ceil(lengthM / mostPieceM - 1e-9));
  const name = beginM === 0 ? segmentId : `${segmentId}@${beginM.toFixed(2)}`;
  return Array.from({ length: parts }, (_, i) => {
    const [fromM, toM] = [beginM + (lengthM * i) / parts, beginM + (lengthM * (i + 1)) / parts];
    return { id: parts === 1 ? name : `${name}#${i + 1}`, segmentId, fromM, toM, lengthM: toM - fromM };
  });
}

/**
 * One pass, or two where the joint must dry between: in the same closure when it may not stay open, unless it can dry within
 * one shift; later when it may.
 */
export function workPasses(treatment: ResealTreatment, settings: WorkSettings): WorkPass[] {
  const kinds = resealOperations(treatment).map(({ kind }) => kind);
  const dry = kinds.indexOf('dry');
  const openingMinutes =
    settings.openingMinutes[treatment.newClass] ?? openingTime(treatment.newClass, settings.airC).minutes;
  const pass = (kind: WorkPass['kind'], operations: readonly OperationKind[]): WorkPass => ({
    kind,
    operations,
    minutesPerM: paces(operations, treatment, settings),
    insideWaitMinutes: 0,
    openingMinutes: kind === 'open' ? 0 : openingMinutes,
    afterPrevious: null,
  });
  const dryingMinutes = settings.dryingHours * 60;
  if (dry < 0) return [pass('reseal', kinds)];
  const stayOpen = settings.openJoints === 'may-stay-open';
  if (!stayOpen && dryingMinutes + openingMinutes <= settings.longestShiftMinutes / 2)
    return [{ ...pass('reseal', kinds), insideWaitMinutes: dryingMinutes }];
  const lag = {
    leastMinutes: dryingMinutes,
    mostMinutes: settings.mostHoursOpen * 60,
    sameClosure: !stayOpen,
  };
  return [pass('open', kinds.slice(0, dry)), { ...pass('seal', kinds.slice(dry + 1)), afterPrevious: lag }];
}

function paces(operations: readonly OperationKind[], treatment: ResealTreatment, { crews, rates }: WorkSettings) {
  const minutesPerM: Record<string, number> = {};
  for (const crew of crews) {
    const pace = crewPace(crew, operations, treatment, rates);
    if ('minutesPerM' in pace) minutesPerM[crew.id] = pace.minutesPerM;
  }
  return minutesPerM;
}

function whyNoCrew(job: ResealJob, settings: WorkSettings): string | null {
  for (const { operations, minutesPerM } of workPasses(job, settings)) {
    if (Object.keys(minutesPerM).length > 0) continue;
    if (settings.crews.length === 0) return 'There is no crew.';
    const cannot = settings.crews.map((crew) => crewPace(crew, operations as OperationKind[], job, settings.rates));
    return `No crew can do it: ${cannot.flatMap((pace) => ('cannot' in pace ? pace.cannot : [])).join('; ')}.`;
  }
  return null;
}
