/**
 * What is packed into closures, and what comes out. Times are civil minutes: whole days since 1970-01-01 of the local
 * calendar times 1440, plus the minute of the day on the local clock. They know no time zone; where the clock is put
 * forward or back inside a window, `clockChangeMinutes` says by how much the window is longer than its minutes.
 */
export type CivilMinute = number;
export const MINUTES_PER_DAY = 1440;

/** What closes as a unit: a runway, a taxiway, a bridge, a lane or direction of a highway. */
export interface PlanFacility {
  readonly id: string;
  readonly name: string;
  /** What one closure counts, above 0: a runway weighs more than an apron. */ readonly closureCost: number;
  /** From the start of a closure until work can begin, min. */ readonly setUpMinutes: number;
  /** Kept free at the end of a closure to clear away; the seal skins over meanwhile, min. */
  readonly clearAwayMinutes: number;
  /** Crews that have room here at the same time, 1 or more. */ readonly mostCrews: number;
  /** No closure starts before: notice, season, approval; null: no such limit. */
  readonly earliestMinute: CivilMinute | null;
  /** Every closure has ended by then; null: no such limit. */ readonly latestMinute: CivilMinute | null;
}

/** When crews work inside a window. */
export interface Shift {
  readonly startMinute: CivilMinute;
  readonly endMinute: CivilMinute;
}

/** A period in which one facility may close. */
export interface ClosureWindow {
  readonly id: string;
  readonly facilityId: string;
  readonly startMinute: CivilMinute;
  readonly endMinute: CivilMinute;
  /** One for a night or a day; several in a weekend or longer. In order, apart, inside the window. */
  readonly shifts: readonly Shift[];
  /** Longer (+60) or shorter (-60) than its minutes because the clock changes in its first shift; usually 0. */
  readonly clockChangeMinutes: number;
  /** Chance of workable weather, 0 to 1, by `WorkBlock.gateId`; a gate that is not named has no limit. */
  readonly chanceByGate: Readonly<Record<string, number>>;
}

/** Facilities of which only one may be closed at any time. */
export interface Exclusion {
  readonly facilityIds: readonly [string, string];
  readonly reason: string;
}

/** A time in which nothing (or one facility) may close: holiday peak, event, season. */
export interface BarredPeriod {
  readonly name: string;
  /** null: all facilities. */ readonly facilityId: string | null;
  readonly startMinute: CivilMinute;
  readonly endMinute: CivilMinute;
}

/** One gang with its machines. It works at one facility in a shift. */
export interface PlanCrew {
  readonly id: string;
  readonly name: string;
  readonly unavailable: readonly Shift[];
}

/** A segment, or part of a long one, that is done in one go. */
export interface WorkPiece {
  readonly id: string;
  readonly segmentId: string;
  /** Place in the segment, m of its sealed length. */ readonly fromM: number;
  readonly toM: number;
  /** toM - fromM, above 0. */ readonly lengthM: number;
}

/** Operations that a crew does in one go along the pavement. */
export interface WorkPass {
  /** `reseal`: all operations in one closure. `open`: up to the wash. `seal`: from the dry joint on. */
  readonly kind: 'reseal' | 'open' | 'seal';
  readonly operations: readonly string[];
  /** Minutes for one metre, by crew: the slowest team governs. A crew that is not named cannot do it. */
  readonly minutesPerM: Readonly<Record<string, number>>;
  /** Wait between two operations of the pass (the joint dries), min. */ readonly insideWaitMinutes: number;
  /** From the last metre until traffic may run, min. Counts in the last shift of a closure. */
  readonly openingMinutes: number;
  /** Wait since the pass before; null in the first. */ readonly afterPrevious: PassLag | null;
}

export interface PassLag {
  /** From the end of the shift of the pass before to the start of this shift. */ readonly leastMinutes: number;
  /** From the end of the shift of the pass before to the end of this shift. */ readonly mostMinutes: number;
  /** An open joint may not see traffic: both passes in one closure. */ readonly sameClosure: boolean;
}

/** Pieces of one facility, in order along the pavement, that are worked alike. Done from the first piece on. */
export interface WorkBlock {
  readonly id: string;
  readonly facilityId: string;
  readonly pieces: readonly WorkPiece[];
  /** Worth of a metre done, above 0. */ readonly weightPerM: number;
  /** One pass or two. */ readonly passes: readonly WorkPass[];
  /** Facilities that must be closed while a crew is at work here: the block lies in their safety area. */
  readonly requiresClosed: readonly string[];
  /** Weather limits of the work. */ readonly gateId: string;
  /** Shifts at work start no earlier, end no later; null: no such limit. */
  readonly earliestMinute: CivilMinute | null;
  readonly latestMinute: CivilMinute | null;
}

export interface PackingRules {
  /** A crew rests at least this long between two shifts. */ readonly restMinutes: number;
  /** Windows with a lesser chance of workable weather are not used, 0 to 1. */ readonly leastChance: number;
  /** A closure in the last week counts 1 + this times one in the first. */ readonly latenessWeight: number;
  /** What a shift of one crew counts, beside `closureCost`. */ readonly crewShiftCost: number;
  /** A closure that stands in `previous` counts less by this share, 0 to below 1. */ readonly keepWeight: number;
  /** Windows kept free for work lost to weather; null: none. */ readonly reserve: ReserveRule | null;
}

export interface ReserveRule {
  /** One reserve window for so many closures of a facility, 1 or more. */ readonly closuresPerReserve: number;
  /** A reserve window starts at most so many days after the closure it stands for. */ readonly withinDays: number;
}

/** Directive 2003/88/EC asks for 11 h of daily rest (from memory). The rest is common practice, to be edited. */
export const USUAL_RULES: PackingRules = {
  restMinutes: 660,
  leastChance: 0.3,
  latenessWeight: 0.5,
  crewShiftCost: 0.05,
  keepWeight: 0.4,
  reserve: { closuresPerReserve: 4, withinDays: 60 },
};

export interface PackingProblem {
  readonly facilities: readonly PlanFacility[];
  readonly windows: readonly ClosureWindow[];
  readonly exclusions: readonly Exclusion[];
  readonly barred: readonly BarredPeriod[];
  readonly crews: readonly PlanCrew[];
  readonly blocks: readonly WorkBlock[];
  readonly rules: PackingRules;
  /** Closures that stay as they are: locked, under way or done. They keep facility and crews busy. */
  readonly fixed: readonly PlannedClosure[];
  /** Closures of the schedule before, preferred where they still serve. */ readonly previous: readonly WindowKey[];
}

/** A facility's window, known by its times, so that it is found again in a later schedule. */
export interface WindowKey {
  readonly facilityId: string;
  readonly startMinute: CivilMinute;
  readonly endMinute: CivilMinute;
}

/** A run of pieces that one crew does in one shift. */
export interface PlannedTask {
  readonly blockId: string;
  /** Index into `WorkBlock.passes`. */ readonly pass: number;
  readonly crewId: string;
  /** Index into the shifts of the closure. */ readonly shift: number;
  /** In order along the pavement. */ readonly pieceIds: readonly string[];
  readonly lengthM: number;
  readonly startMinute: CivilMinute;
  /** Waits inside the pass included, time to opening not. */ readonly endMinute: CivilMinute;
}

export interface PlannedClosure extends WindowKey {
  /** Stable while facility and window stay the same. */ readonly id: string;
  readonly windowId: string;
  readonly shifts: readonly Shift[];
  /** Empty where the facility closes only for work in its safety area. */ readonly tasks: readonly PlannedTask[];
  /** Facilities whose work needs this one closed. */ readonly closedFor: readonly string[];
  /** From then on traffic may run, if all goes as planned. */ readonly openMinute: CivilMinute;
  /** Window to fall back on when the weather fails; null: none is free or none is asked for. */
  readonly reserve: WindowKey | null;
}

/** Work with no closure, and the rule that stops it. */
export interface UnplacedWork {
  readonly blockId: string;
  readonly pieceIds: readonly string[];
  readonly lengthM: number;
  readonly rule: StoppingRule;
  /** The rule in a sentence. */ readonly reason: string;
}

export type StoppingRule =
  | 'no-window'
  | 'barred'
  | 'notice'
  | 'latest-date'
  | 'weather'
  | 'window-too-short'
  | 'no-crew'
  | 'closure-not-possible'
  | 'exclusion'
  | 'crews-busy'
  | 'windows-used-up';

export interface ScheduleScore {
  /** Sum of weight x metres placed. */ readonly placedWeight: number;
  readonly placedM: number;
  /** Sum over closures of what they count, `PackingRules` and chance of weather included. */ readonly cost: number;
  readonly closures: number;
  readonly crewShifts: number;
}

/**
 * How far the schedule can be from the best one. Work placed comes first, the cost of closures second: `leastCost` holds for
 * schedules that place as much as this one. The last of what could be placed can cost many more closures than its share;
 * it is then left out, and `workGapShare` says so.
 */
export interface ScheduleProof {
  /** No schedule places more than this. */ readonly mostPlacedWeight: number;
  /** No schedule that places as much costs less than this. */ readonly leastCost: number;
  /** (most - placed) / most, 0 or more. */ readonly workGapShare: number;
  /** (cost - least) / cost, 0 or more. */ readonly costGapShare: number;
  /** `cancelled`: the best so far was kept. */ readonly ended: 'optimal' | 'within-gap' | 'effort-spent' | 'cancelled';
}

export interface Schedule {
  /** By start, then facility. */ readonly closures: readonly PlannedClosure[];
  readonly unplaced: readonly UnplacedWork[];
  readonly score: ScheduleScore;
  readonly proof: ScheduleProof;
}
