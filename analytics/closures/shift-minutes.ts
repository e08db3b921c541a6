import type { ClosureWindow, PlanFacility, WorkPass } from './closure-plan.ts';

/** What a crew has of one shift of a closure for one pass. */
export interface ShiftMinutes {
  /** Work begins: the facility is closed and set up. */ readonly startMinute: number;
  /** Minutes of work, so that all waits end in time; 0 or less: none. */ readonly netMinutes: number;
}

/**
 * Minutes of work in a shift: from the later of its start and the end of setting up, to the earlier of its end and the time
 * kept to clear away and for the seal to skin over (both at once: the longer governs), less the wait inside the pass. An hour
 * lost to the clock is lost in the first shift; an hour gained is left as slack.
 */
export function shiftMinutes(
  facility: Pick<PlanFacility, 'setUpMinutes' | 'clearAwayMinutes'>,
  window: Pick<ClosureWindow, 'startMinute' | 'endMinute' | 'shifts' | 'clockChangeMinutes'>,
  shift: number,
  pass: Pick<WorkPass, 'insideWaitMinutes' | 'openingMinutes'>,
): ShiftMinutes {
  const { startMinute, endMinute } = window.shifts[shift];
  const begins = Math.max(startMinute, window.startMinute + facility.setUpMinutes);
  const ends = Math.min(endMinute, window.endMinute - Math.max(facility.clearAwayMinutes, pass.openingMinutes));
  const lost = shift === 0 ? Math.max(0, -window.clockChangeMinutes) : 0;
  return { startMinute: begins, netMinutes: ends - begins - pass.insideWaitMinutes - lost };
}
