import { type ProgramProblem, WORK } from '../program-problem.ts';
import type { RowSet } from './row-set.ts';

/**
 * Segments in the order in which they are solved: by facility, and within it by what they are, so that the order in which
 * they were given makes no difference. Segments whose path to go depends on the same numbers form a group.
 */
export interface NetworkLayout {
  /** Segment at each position. */ readonly order: Int32Array;
  /** Positions of facility f: from `start[f]` up to `start[f + 1]`. */ readonly start: Int32Array;
  /** Group at each position. */ readonly group: Int32Array;
  readonly groups: readonly SegmentGroup[];
}

export interface SegmentGroup {
  readonly type: number;
  readonly district: number;
  readonly kind: number;
  /** Years before the pavement goes, at most the horizon. */ readonly end: number;
  /** Years that must have work, rising. */ readonly required: readonly number[];
  /** Class of required work; -1: any. */ readonly requiredClass: number;
}

export function networkLayout(problem: ProgramProblem, rows: RowSet): NetworkLayout {
  const { count, facility, facilities } = problem;
  const start = new Int32Array(facilities.count + 1);
  for (let i = 0; i < count; i++) start[facility[i] + 1]++;
  for (let f = 0; f < facilities.count; f++) start[f + 1] += start[f];
  const next = start.slice();
  const order = new Int32Array(count);
  for (let i = 0; i < count; i++) order[next[facility[i]]++] = i;
  const { groupOf, groups } = groupSegments(problem, rows);
  const before = likeness(problem);
  for (let f = 0; f < facilities.count; f++) order.subarray(start[f], start[f + 1]).sort(before);
  return { order, start, group: order.map((i) => groupOf[i]), groups };
}

function groupSegments(problem: ProgramProblem, rows: RowSet): { groupOf: Int32Array; groups: SegmentGroup[] } {
  const { count, years, type, district, facilityKind, goneFromYear, requiredClass, work } = problem;
  const byKind = rows.kind.some((kind) => kind >= 0);
  const byDistrict = rows.district.some((d) => d >= 0);
  const groupOf = new Int32Array(count);
  const groups: SegmentGroup[] = [];
  const known = new Map<number | string, number>();
  for (let i = 0; i < count; i++) {
    const required = requiredYears(work, i * years, years);
    const group: SegmentGroup = {
      type: type[i],
      district: byDistrict ? district[i] : 0,
      kind: byKind ? facilityKind[i] : 0,
      end: Math.min(years, goneFromYear[i]),
      required,
      requiredClass: required.length > 0 ? requiredClass[i] : -1,
    };
    const plain =
      ((group.type * rows.cells.districts + group.district) * rows.cells.kinds + group.kind) * (years + 1) + group.end;
    const key = required.length === 0 ? plain : `${plain} ${group.requiredClass} ${required.join(' ')}`;
    let index = known.get(key);
    if (index === undefined) {
      index = groups.push(group) - 1;
      known.set(key, index);
    }
    groupOf[i] = index;
  }
  return { groupOf, groups };
}

const NONE: readonly number[] = [];

function requiredYears(work: Uint8Array, from: number, years: number): readonly number[] {
  let found: number[] | null = null;
  for (let t = 0; t < years; t++) {
    if (work[from + t] !== WORK.required) continue;
    found ??= [];
    found.push(t);
  }
  return found ?? NONE;
}

/** Orders segments by what they are; ties only between segments that are the same in all that is looked at. */
function likeness(problem: ProgramProblem): (i: number, j: number) => number {
  const { years, type, district, facilityKind, goneFromYear, requiredClass, lengthM } = problem;
  const { work, failedByYearEnd, finalCostIfNeverPerM } = problem;
  const marks = [type, district, facilityKind, goneFromYear, requiredClass, lengthM, finalCostIfNeverPerM];
  return (i, j) => {
    for (const mark of marks) if (mark[i] !== mark[j]) return mark[i] - mark[j];
    for (let t = 0; t < years; t++) {
      const apart =
        failedByYearEnd[i * years + t] - failedByYearEnd[j * years + t] || work[i * years + t] - work[j * years + t];
      if (apart !== 0) return apart;
    }
    return i - j;
  };
}
