import type { ClosureRules } from '../schemas/closure-rules.ts';
import type { Closure, ClosurePlanEdit, ScheduleHead } from '../schemas/closures.ts';
import type { Direction } from '../schemas/words.ts';
import type { DrawnSegment } from './store.ts';

/** What a schedule rests on. */
export interface ScheduleBasis {
  readonly madeAt: string;
  /** Revision in which the rules changed last when it was made. */ readonly rulesRevision: number;
  /** Records, program, weather and settings that it was made from, as text to compare. */ readonly madeFrom: string;
}

export interface StoredClosurePlan {
  readonly id: string;
  readonly name: string;
  readonly note: string;
  readonly revision: number;
  /** Revision in which the rules changed last: a schedule of it or later is of these rules. */
  readonly rulesRevision: number;
  readonly createdAt: string;
  readonly changedAt: string;
  readonly rules: ClosureRules;
  readonly schedule: ScheduleBasis | null;
}

/** A closure as it is kept: with what its calendar event needs. */
export interface StoredClosure {
  readonly closure: Closure;
  /** It is no longer in the schedule; its event tells calendars so. */ readonly cancelled: boolean;
  /** When its event changed last, ISO: the time stamp of the event. */ readonly changedAt: string;
}

export interface StoredSchedule extends ScheduleBasis {
  /** All of the schedule but its closures. */ readonly head: ScheduleHead;
  /** Cancelled ones too, by start and then facility. */ readonly closures: readonly StoredClosure[];
}

/** One change, in words for the other editor. */
export interface ClosureChange {
  readonly revision: number;
  readonly changedAt: string;
  readonly sentence: string;
  readonly closureId: string | null;
}

/** `missing`: no such plan. `stale`: changed since the revision that was named. */
export type ClosurePlanChange =
  | { readonly kind: 'done'; readonly plan: StoredClosurePlan }
  | { readonly kind: 'missing' }
  | {
      readonly kind: 'stale';
      readonly plan: StoredClosurePlan;
      /** Oldest first, as far as they are kept. */ readonly since: readonly ClosureChange[];
    };

/** What a change says of itself. */
export interface ChangeNote {
  readonly sentence: string;
  readonly closureId: string | null;
  readonly changedAt: string;
}

/** Plans of closures with their schedules, and what scheduling reads of the network. Every change names the revision that it is meant for (null: any). */
export interface ClosureStore {
  /** Those of the ids that are stored, in no order. */ findSegments(ids: readonly string[]): Promise<DrawnSegment[]>;
  /** Middle of each facility's segments. */ readFacilityPlaces(): Promise<Map<string, { lon: number; lat: number }>>;

  /** Directions of traffic of each facility whose segments tell any, in order of the alphabet; `both` is none. */
  readDirections(): Promise<Map<string, Direction[]>>;

  /** Oldest first. */ listClosurePlans(): Promise<StoredClosurePlan[]>;
  findClosurePlan(id: string): Promise<StoredClosurePlan | null>;
  addClosurePlan(plan: {
    id: string;
    name: string;
    note: string;
    rules: ClosureRules;
    createdAt: string;
  }): Promise<StoredClosurePlan>;
  /** An edit that changes nothing leaves the revision as it is. */
  changeClosurePlan(
    id: string,
    revision: number | null,
    edit: ClosurePlanEdit,
    changedAt: string,
  ): Promise<ClosurePlanChange>;
  /** `done` answers the plan as it was. */
  removeClosurePlan(id: string, revision: number | null): Promise<ClosurePlanChange>;

  readSchedule(planId: string): Promise<StoredSchedule | null>;
  /** Replaces the schedule and all of its closures, cancelled ones included, in one transaction. */
  writeSchedule(
    planId: string,
    revision: number | null,
    schedule: StoredSchedule,
    note: ChangeNote,
  ): Promise<ClosurePlanChange>;
  /** Replaces some closures of a schedule, found by their uid, and its head if one is given, in one transaction. */
  writeClosures(
    planId: string,
    revision: number | null,
    closures: readonly StoredClosure[],
    note: ChangeNote,
    head?: ScheduleHead | null,
  ): Promise<ClosurePlanChange>;
}
