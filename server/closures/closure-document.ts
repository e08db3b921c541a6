import type { PlannedClosure, PlannedTask, WorkBlock } from '../../analytics/closures/closure-plan.ts';
import type { Closure } from '../schemas/closures.ts';
import { partOf } from './closing-unit.ts';
import { lanesOfAll } from './closing-work.ts';
import { type DoneWork, operationHours, workCrewHours } from './closure-hours.ts';
import type { ClosureGround } from './closure-problem.ts';
import { quantitiesOf } from './closure-quantities.ts';
import { localText } from './local-time.ts';
import type { PlannedWork } from './planned-work.ts';

/** What calendars and editors add to a closure later. */
export type ClosureDraft = Omit<Closure, 'uid' | 'sequence'>;

/** Looks up what the documents of one schedule ask for again and again. */
export interface DocumentGround {
  readonly ground: ClosureGround;
  readonly blocks: ReadonlyMap<string, WorkBlock>;
  readonly workOf: ReadonlyMap<string, PlannedWork>;
}

export const documentGround = (ground: ClosureGround): DocumentGround => ({
  ground,
  blocks: new Map(ground.problem.blocks.map((block) => [block.id, block])),
  workOf: new Map(ground.planned.map((planned) => [planned.work.segmentId, planned])),
});

/** One closure of a new schedule as the API tells of it; its chance to finish is reckoned later, with all others. */
export function closureDocument(closure: PlannedClosure, at: DocumentGround): ClosureDraft {
  const { ground } = at;
  const unit = ground.units.get(closure.facilityId);
  if (!unit) throw new Error(`The schedule closes ${closure.facilityId}, which is not in its problem.`);
  const done = closure.tasks.flatMap((task) => doneWork(task, at));
  const works = done.map(({ work }) => work);
  const { facility } = unit;
  const segments = works.flatMap(({ segmentId }) => at.workOf.get(segmentId)?.segment ?? []);
  return {
    id: closure.id,
    ...{ facilityId: facility.id, facilityName: facility.name, facilityKind: facility.kind },
    part: partOf(unit, lanesOfAll(segments)),
    district: facility.district,
    startsAt: localText(closure.startMinute),
    endsAt: localText(closure.endMinute),
    opensAt: localText(Math.min(closure.openMinute, closure.endMinute)),
    reserve: closure.reserve && {
      startsAt: localText(closure.reserve.startMinute),
      endsAt: localText(closure.reserve.endMinute),
    },
    ...{ state: 'planned', locked: false, byHand: false, note: '', doneM: null, conflicts: [] },
    closedFor: [...new Set(closure.closedFor.map((id) => ground.units.get(id)?.facility.id ?? id))],
    works,
    operations: operationHours(done, ground.rules),
    crews: [...new Set(works.map(({ crewId }) => crewId))],
    lengthM: works.reduce((sum, { lengthM }) => sum + lengthM, 0),
    ...quantitiesOf(works, ground.rules.wastageFactor),
    crewHours: done.reduce((sum, each) => sum + workCrewHours(each, ground.rules), 0),
    weatherChance: weatherChance(closure, at),
    finishChance: null,
  };
}

/** The worst of the gates that its work needs; null where none could be judged. */
function weatherChance(closure: PlannedClosure, { ground, blocks }: DocumentGround): number | null {
  const window = ground.problem.windows.find(({ id }) => id === closure.windowId);
  const chances = closure.tasks.flatMap(({ blockId }) => {
    const gate = blocks.get(blockId)?.gateId;
    const chance = gate === undefined ? undefined : window?.chanceByGate[gate];
    return chance === undefined ? [] : [chance];
  });
  return chances.length === 0 ? null : Math.min(...chances);
}

/** The segments of a task with their times, pieces of one segment put together. */
function doneWork(task: PlannedTask, { blocks, workOf }: DocumentGround): DoneWork[] {
  const block = blocks.get(task.blockId);
  const pass = block?.passes[task.pass];
  if (!block || !pass) return [];
  const minutesPerM = pass.minutesPerM[task.crewId] ?? 0;
  const pieces = new Map(block.pieces.map((piece) => [piece.id, piece]));
  const found: DoneWork[] = [];
  let metres = 0;
  for (const id of task.pieceIds) {
    const piece = pieces.get(id);
    const planned = piece && workOf.get(piece.segmentId);
    if (!piece || !planned) continue;
    const startsAt = localText(task.startMinute + metres * minutesPerM);
    metres += piece.lengthM;
    const endsAt = localText(
      Math.min(task.endMinute, task.startMinute + metres * minutesPerM + pass.insideWaitMinutes),
    );
    const last = found.at(-1);
    if (last && last.work.segmentId === piece.segmentId && Math.abs(last.work.toM - piece.fromM) < 0.01) {
      Object.assign(last.work, { toM: piece.toM, lengthM: last.work.lengthM + piece.lengthM, endsAt });
      continue;
    }
    found.push({
      operations: pass.operations,
      work: {
        ...{ segmentId: piece.segmentId, fromM: piece.fromM, toM: piece.toM, lengthM: piece.lengthM },
        ...lanesTold(planned.segment),
        ...{ pass: pass.kind, crewId: task.crewId, startsAt, endsAt, widthMm: planned.segment.widthMm },
        sealantClass: planned.work.sealantClass,
        sealantClassInPlace: planned.work.sealantClassInPlace,
      },
    });
  }
  return found;
}

/** Nothing where the segment tells neither direction nor lanes. */
const lanesTold = ({ direction, firstLane, lastLane }: PlannedWork['segment']) =>
  direction === null && firstLane === null ? {} : { direction, firstLane, lastLane };
