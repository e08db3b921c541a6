import { dayNumber } from './observation-dates.ts';
import type { ObservedInspection, ObservedSeal, ReadingRules } from './observation-records.ts';

/** Day numbers of one seal's installation and end. */
export interface SealSpan {
  readonly earliest: number;
  readonly latest: number;
  /** First and last possible day of removal, and whether the record states it; null: in place. */
  readonly removal: {
    readonly from: number;
    readonly to: number;
    readonly reason: NonNullable<ObservedSeal['removalReason']>;
    readonly recorded: boolean;
  } | null;
}

export interface Look {
  readonly day: number;
  readonly onDay: string;
  readonly share: number;
  readonly failed: boolean;
}

export interface SharedLooks {
  /** One list for each seal, in order of day, at most one look a day. */ readonly bySeal: readonly Look[][];
  readonly otherMethod: number;
  readonly stray: number;
  readonly impossible: number;
}

/** Spans of the seals of a segment; a seal with no removal recorded ends where the next one begins. */
export function sealSpans(seals: readonly ObservedSeal[], todayNumber: number): SealSpan[] {
  return seals.map((seal, i) => {
    const next = seals[i + 1];
    const [earliest, latest] = [dayNumber(seal.installedFrom), dayNumber(seal.installedTo)];
    const reason = seal.removalReason ?? 'unknown';
    const removedDay = seal.removedOn === null ? null : dayNumber(seal.removedOn);
    if (removedDay !== null && removedDay <= todayNumber)
      return { earliest, latest, removal: { from: removedDay, to: removedDay, reason, recorded: true } };
    if (removedDay === null && next !== undefined && dayNumber(next.installedFrom) <= todayNumber) {
      const [from, to] = [dayNumber(next.installedFrom), dayNumber(next.installedTo)];
      return { earliest, latest, removal: { from, to, reason, recorded: false } };
    }
    return { earliest, latest, removal: null };
  });
}

/** Shares inspections out among the seals of a segment. Two looks on one day count as one, the worse. */
export function shareLooks(
  inspections: readonly ObservedInspection[],
  spans: readonly SealSpan[],
  rules: ReadingRules,
): SharedLooks {
  const bySeal: Look[][] = spans.map(() => []);
  const today = dayNumber(rules.today);
  let [otherMethod, stray, impossible] = [0, 0, 0];
  for (const { inspectedOn, method, damagedShare } of inspections) {
    const day = dayNumber(inspectedOn);
    if (day > today) continue;
    if (method !== rules.inspectionMethod) otherMethod++;
    else if (!(damagedShare >= 0 && damagedShare <= 1)) impossible++;
    else {
      const failed = damagedShare >= rules.failureThresholdShare - 1e-9;
      const look = { day, onDay: inspectedOn, share: damagedShare, failed };
      const owner = ownerOf(look, spans);
      if (owner === null) stray++;
      else addLook(bySeal[owner], look);
    }
  }
  return { bySeal, otherMethod, stray, impossible };
}

function addLook(looks: Look[], look: Look): void {
  let at = looks.length;
  while (at > 0 && looks[at - 1].day > look.day) at--;
  if (at > 0 && looks[at - 1].day === look.day) {
    if (look.share > looks[at - 1].share) looks[at - 1] = look;
  } else looks.splice(at, 0, look);
}

/** Which seal was seen; null when none was there or the dates leave it open. */
function ownerOf(look: Look, spans: readonly SealSpan[]): number | null {
  let [older, newer]: (number | null)[] = [null, null];
  for (let i = 0; i < spans.length; i++) {
    const { earliest, removal } = spans[i];
    if (look.day >= earliest && (removal === null || look.day <= removal.to)) [older, newer] = [newer, i];
  }
  if (older === null) return newer;
  const { removal } = spans[older];
  if (removal === null) return null;
  if (removal.recorded && look.day < removal.to) return older;
  if (removal.from === removal.to) return seenOnChangeover(look, removal.reason) === 'older' ? older : newer;
  return null;
}

/**
 * On the day of resealing a failed look can only be of the old seal. A sound look is of the old one where it was taken
 * out sound (preventive, pavement work), otherwise it is taken as the acceptance of the new one, which claims nothing.
 */
function seenOnChangeover(look: Look, reason: string): 'older' | 'newer' {
  return look.failed || reason === 'preventive' || reason === 'pavement-work' ? 'older' : 'newer';
}
