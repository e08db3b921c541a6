import { dayNumber } from '../survival/observation-dates.ts';
import type { TrialHistory, TrialRules } from './trial-history.ts';

/** Days on which somebody looked at each facility by the network's method. */
export class Rounds {
  private readonly days: ReadonlyMap<string, Int32Array>;

  constructor(histories: readonly TrialHistory[], { inspectionMethod, today }: TrialRules) {
    const found = new Map<string, Set<number>>();
    const last = dayNumber(today);
    for (const { facility, records } of histories) {
      const days = found.get(facility) ?? new Set();
      found.set(facility, days);
      for (const { inspectedOn, method } of records.inspections) {
        const day = dayNumber(inspectedOn);
        if (method === inspectionMethod && day <= last) days.add(day);
      }
    }
    this.days = new Map([...found].map(([facility, days]) => [facility, Int32Array.from(days).sort()]));
  }

  /** The last such day after one and no later than another; null where there was none. */
  lastWithin(facility: string, afterDay: number, upToDay: number): number | null {
    const day = this.days.get(facility)?.findLast((each) => each <= upToDay);
    return day !== undefined && day > afterDay ? day : null;
  }
}
