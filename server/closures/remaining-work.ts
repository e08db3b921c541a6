import type { PassLag, WorkBlock, WorkPass, WorkPiece } from '../../analytics/closures/closure-plan.ts';
import type { Closure } from '../schemas/closures.ts';
import { minuteOf } from './local-time.ts';

type ClosureWork = Closure['works'][number];
type Pass = ClosureWork['pass'];

/** A part of a segment that a settled closure does, or did. */
export interface SettledPart {
  readonly segmentId: string;
  readonly fromM: number;
  readonly toM: number;
  readonly pass: Pass;
  readonly startMinute: number;
  readonly endMinute: number;
}

/** Shorter rests of a piece are none: rounding. */
const LEAST_M = 0.01;

/** What of a closure's work is done or will be: of a lost or half-finished one its first metres. */
export function settledParts({
  works,
  state,
  locked,
  doneM,
}: Pick<Closure, 'works' | 'state' | 'locked' | 'doneM'>): SettledPart[] {
  const whole = state === 'done' ? doneM === null : state === 'planned' && locked;
  let left = whole ? Number.POSITIVE_INFINITY : (doneM ?? 0);
  const parts: SettledPart[] = [];
  for (const { segmentId, fromM, toM, pass, startsAt, endsAt } of works) {
    const lengthM = Math.min(toM - fromM, left);
    left -= lengthM;
    if (lengthM < LEAST_M) continue;
    const times = { startMinute: minuteOf(startsAt), endMinute: minuteOf(endsAt) };
    parts.push({ segmentId, fromM, toM: fromM + lengthM, pass, ...times });
  }
  return parts;
}

/** Blocks without what settled closures do; a joint opened but not yet sealed keeps its second pass, with its limits. */
export function remainingBlocks(blocks: readonly WorkBlock[], settled: readonly SettledPart[]): WorkBlock[] {
  if (settled.length === 0) return [...blocks];
  const bySegment = new Map<string, SettledPart[]>();
  for (const part of settled) {
    const list = bySegment.get(part.segmentId);
    if (list) list.push(part);
    else bySegment.set(part.segmentId, [part]);
  }
  return blocks.flatMap((block) => {
    const untouched = block.pieces.flatMap((piece) => without(piece, bySegment.get(piece.segmentId) ?? []));
    const rest = untouched.length === 0 ? [] : [{ ...block, pieces: untouched }];
    return [...rest, ...toBeSealed(block, bySegment)];
  });
}

/** What is left of a piece, in order. */
function without(piece: WorkPiece, parts: readonly Pick<SettledPart, 'fromM' | 'toM'>[]): WorkPiece[] {
  let rests = [{ fromM: piece.fromM, toM: piece.toM }];
  for (const part of parts)
    rests = rests.flatMap((rest) =>
      [
        { fromM: rest.fromM, toM: Math.min(rest.toM, part.fromM) },
        { fromM: Math.max(rest.fromM, part.toM), toM: rest.toM },
      ].filter(({ fromM, toM }) => toM - fromM >= LEAST_M),
    );
  if (rests.length === 1 && rests[0].fromM === piece.fromM && rests[0].toM === piece.toM) return [piece];
  return rests.map(({ fromM, toM }) => ({
    ...piece,
    ...{ id: `${piece.id}@${fromM.toFixed(2)}`, fromM, toM, lengthM: toM - fromM },
  }));
}

/** One block for each time at which joints were opened: their second pass alone. */
function toBeSealed(block: WorkBlock, bySegment: ReadonlyMap<string, readonly SettledPart[]>): WorkBlock[] {
  const [, seal] = block.passes;
  if (!seal?.afterPrevious) return [];
  const groups = new Map<number, WorkPiece[]>();
  for (const piece of block.pieces) {
    const parts = bySegment.get(piece.segmentId) ?? [];
    const sealed = parts.filter(({ pass }) => pass !== 'open');
    for (const part of parts.filter(({ pass }) => pass === 'open')) {
      const overlap = { fromM: Math.max(piece.fromM, part.fromM), toM: Math.min(piece.toM, part.toM) };
      if (overlap.toM - overlap.fromM < LEAST_M) continue;
      const opened = { ...piece, ...overlap, id: `${piece.id}/opened@${overlap.fromM.toFixed(2)}` };
      const rests = without({ ...opened, lengthM: overlap.toM - overlap.fromM }, sealed);
      groups.set(part.endMinute, [...(groups.get(part.endMinute) ?? []), ...rests]);
    }
  }
  return [...groups].flatMap(([openedMinute, pieces]) =>
    pieces.length === 0 ? [] : [sealBlock(block, seal, seal.afterPrevious as PassLag, { openedMinute, pieces })],
  );
}

function sealBlock(
  block: WorkBlock,
  seal: WorkPass,
  lag: PassLag,
  { openedMinute, pieces }: { openedMinute: number; pieces: readonly WorkPiece[] },
): WorkBlock {
  return {
    ...block,
    id: `${block.id}/opened@${openedMinute}`,
    pieces,
    passes: [{ ...seal, afterPrevious: null }],
    earliestMinute: openedMinute + lag.leastMinutes,
    latestMinute: openedMinute + lag.mostMinutes,
  };
}
