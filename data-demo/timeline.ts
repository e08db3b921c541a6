import type { FacilityKind, InspectionMethod, SealantClass } from '../server/schemas/words.ts';
import { LAST_DAY } from './agency.ts';
import { DAYS_PER_YEAR, dayOf, inSeason, isoOf, yearOf } from './days.ts';
import { openDraws } from './random.ts';
import { type JointUse, pickProjectClass } from './sealants.ts';

/** A round of inspection of one facility; each segment is seen on this day or a few days later. */
export interface Visit {
  readonly day: number;
  readonly method: InspectionMethod;
}

/** What happened to one facility as a whole. */
export interface FacilityTimeline {
  readonly facilityId: string;
  /** First seals are installed from this day on. */ readonly sealedFromDay: number;
  readonly recordsFromDay: number;
  readonly yearBuilt: number;
  readonly visits: readonly Visit[];
  /** Preventive resealing of part of the facility. */ readonly campaignDays: readonly number[];
  /** Pavement work on part of the facility. */ readonly workDays: readonly number[];
  /** Class that a project here would use, so that neighbours are mostly alike. */
  projectClass(use: JointUse, day: number): SealantClass;
}

/** Share of facilities whose records began 8 to 15 years after their first seals. */
const LATE_RECORDS_SHARE = 0.38;

function drawBeginnings(seed: number, facilityId: string) {
  const draws = openDraws(seed, 'beginnings', facilityId);
  const late = draws.chance(LATE_RECORDS_SHARE);
  const recordsFromDay = inSeason(dayOf(draws.integer(late ? 2006 : 2001, late ? 2015 : 2012), draws.integer(4, 9), 1));
  if (late) {
    const sealedFromDay = inSeason(recordsFromDay - Math.round(draws.between(8, 15) * DAYS_PER_YEAR));
    return { sealedFromDay, recordsFromDay, yearBuilt: yearOf(sealedFromDay) };
  }
  // Some of the pavements are older than the first seals on record: every joint was resealed when records began.
  const yearBuilt = yearOf(recordsFromDay) - (draws.chance(0.4) ? draws.integer(12, 40) : 0);
  return { sealedFromDay: recordsFromDay, recordsFromDay, yearBuilt };
}

function drawVisits(seed: number, facilityId: string, kind: FacilityKind, fromDay: number): Visit[] {
  const draws = openDraws(seed, 'visits', facilityId);
  const everyYears = kind === 'highway' ? draws.integer(2, 3) : kind === 'bridge' ? 2 : draws.integer(1, 2);
  const visits: Visit[] = [];
  for (let year = yearOf(fromDay) + draws.integer(1, everyYears); year <= yearOf(LAST_DAY); year += everyYears) {
    const day = dayOf(year, draws.integer(4, 10), draws.integer(1, 24));
    const method = draws.chance(0.08) ? 'sample-unit' : 'joint-length';
    if (day + 6 <= LAST_DAY) visits.push({ day, method });
  }
  return visits;
}

export function drawTimeline(seed: number, facilityId: string, kind: FacilityKind): FacilityTimeline {
  const beginnings = drawBeginnings(seed, facilityId);
  const draws = openDraws(seed, 'projects', facilityId);
  const someDay = () => inSeason(dayOf(draws.integer(2009, 2025), draws.integer(4, 10), draws.integer(1, 28)));
  return {
    facilityId,
    ...beginnings,
    visits: drawVisits(seed, facilityId, kind, beginnings.sealedFromDay),
    campaignDays: draws.chance(0.35) ? [someDay()] : [],
    workDays: draws.chance(0.2) ? [someDay()] : [],
    projectClass: (use, day) =>
      pickProjectClass(openDraws(seed, 'project-class', facilityId, use, isoOf(day).slice(0, 4)), use, day),
  };
}
