import ical, { ICalEventStatus } from 'ical-generator';
import { closedName, lanesWords } from '../closures/closing-unit.ts';
import { spokenTime } from '../closures/local-time.ts';
import { sealantWords, unitWords } from '../closures/quantity-words.ts';
import { zoneBlock } from '../closures/time-zone.ts';
import type { Closure } from '../schemas/closures.ts';
import type { StoredClosure } from '../store/closure-store.ts';
import type { Units } from './units.ts';

/**
 * A clock on the wall: what the calendar library writes with a time zone beside it, whatever zone this computer is in. The
 * library knows a date with a zone of its own by `internal`, `tzComponents` and `withTimeZone`.
 */
class WallClock extends Date {
  constructor(local: string) {
    super(`${local}:00Z`);
  }
  override getFullYear = () => this.getUTCFullYear();
  override getMonth = () => this.getUTCMonth();
  override getDate = () => this.getUTCDate();
  override getHours = () => this.getUTCHours();
  override getMinutes = () => this.getUTCMinutes();
  override getSeconds = () => this.getUTCSeconds();
  get internal(): Date {
    return this;
  }
  tzComponents(): number[] {
    return [];
  }
  withTimeZone(): this {
    return this;
  }
}

export interface CalendarWish {
  readonly name: string;
  readonly timeZone: string;
  /** Cancelled ones too. */ readonly closures: readonly StoredClosure[];
  readonly units: Units;
}

const REFRESH_SECONDS = 3600;

/**
 * The closures of a plan as an iCalendar object (RFC 5545): local times with their VTIMEZONE, stable UIDs, SEQUENCE, and a
 * time stamp of when the event changed, so that the same schedule is the same bytes.
 * @throws RangeError when calendars cannot be told of the time zone
 */
export function closureCalendar({ name, timeZone, closures, units }: CalendarWish): string {
  const zone = zoneBlock(timeZone);
  if (!zone) throw new RangeError(`Time zone is ${timeZone}; expected one that calendars know`);
  const calendar = ical({ name, ttl: REFRESH_SECONDS, prodId: { company: 'Kerfcast', product: 'Closures' } });
  // Without a zone of the calendar itself, time stamps are in universal time, as they must be.
  calendar.timezone({ name: null, generator: () => zone.block });
  for (const stored of closures) {
    const { closure, changedAt } = stored;
    calendar.createEvent({
      ...{ id: closure.uid, sequence: closure.sequence, stamp: new Date(changedAt), lastModified: new Date(changedAt) },
      ...{ timezone: zone.tzid, start: new WallClock(closure.startsAt), end: new WallClock(closure.endsAt) },
      summary: `${closedName(closure)} closed: joint resealing`,
      location: `${closedName(closure)}, ${closure.district}`,
      description: descriptionOf(closure, units),
      status: statusOf(stored),
    });
  }
  return calendar.toString();
}

/** Until it is locked or done a closure is a wish: the operator's procedure and the authority's notice govern. */
function statusOf({ closure: { state, locked }, cancelled }: StoredClosure): ICalEventStatus {
  if (cancelled || state === 'lost') return ICalEventStatus.CANCELLED;
  return locked || state === 'done' ? ICalEventStatus.CONFIRMED : ICalEventStatus.TENTATIVE;
}

const SEGMENTS_TOLD = 60;

function descriptionOf(closure: Closure, units: Units): string {
  const { length } = unitWords(units);
  const percent = (share: number) => `${Math.round(share * 100)} %`;
  const { works, opensAt, reserve, finishChance, finishInterval, crewHours, crews, closedFor, note } = closure;
  const told = works
    .slice(0, SEGMENTS_TOLD)
    .map((work) =>
      [`- ${work.segmentId}: ${length(work.lengthM)}`, work.sealantClass, lanesWords(work)]
        .filter((word) => word !== '')
        .join(', '),
    );
  const more = works.length - told.length;
  const between = finishInterval
    ? ` (${percent(finishInterval[0])} to ${percent(finishInterval[1])}, eight in ten)`
    : '';
  return [
    works.length === 0
      ? `Closed for work on ${closedFor.join(', ')}.`
      : `${length(closure.lengthM)} of joint, in order along the pavement:`,
    ...told,
    ...(more > 0 ? [`- and ${more} more`] : []),
    ...sealantWords(closure, units),
    `Crew hours: ${crewHours.toFixed(1)}${crews.length > 0 ? ` (${crews.join(', ')})` : ''}`,
    `Open to traffic from ${spokenTime(opensAt)}, if all goes as planned.`,
    ...(finishChance === null
      ? []
      : [`Chance that the work finishes in the window: ${percent(finishChance)}${between}.`]),
    ...(reserve ? [`Reserve: ${spokenTime(reserve.startsAt)} to ${spokenTime(reserve.endsAt)}.`] : []),
    ...closure.conflicts.map(({ sentence }) => `Conflict: ${sentence}`),
    ...(note === '' ? [] : [note]),
    "A plan, not a notice: the operator's own procedure and the authority's notice govern.",
  ].join('\n');
}
