import type { Preparation, RemovalReason, SealantClass } from '../server/schemas/words.ts';
import { LAST_DAY } from './agency.ts';
import { DAYS_PER_YEAR, dayOf, inSeason } from './days.ts';
import type { FacilityPlan, TrueSegment } from './network.ts';
import { type Draws, openDraws } from './random.ts';
import { isBlasted, jointUse, PREPARATION_MIX, pickProjectClass } from './sealants.ts';
import type { StationNormals } from './station-normals.ts';
import type { FacilityTimeline, Visit } from './timeline.ts';
import { characteristicLifeYears, covariatesOf, TRUE_SIGMA } from './true-model.ts';

/** One generation of sealant as it truly was. Days since 1970-01-01. */
export interface SealLife {
  readonly sealantClass: SealantClass;
  readonly preparation: Preparation;
  readonly widthMm: number;
  readonly installedDay: number;
  readonly characteristicLifeYears: number;
  readonly lifeDays: number;
  /** null: in place. */ readonly removedDay: number | null;
  readonly removalReason: RemovalReason | null;
  /** The round that found it failed was never filed. */ readonly lostVisit: Visit | null;
}

/** A round of inspection that reached this segment, and when. */
export interface SegmentVisit {
  readonly visit: Visit;
  readonly day: number;
}

/** The rounds that reached a segment; a few pass it over, and none knows how long a seal will live. */
export function visitsOf(seed: number, timeline: FacilityTimeline, segmentId: string, share: number): SegmentVisit[] {
  const draws = openDraws(seed, 'seen', segmentId);
  return timeline.visits.flatMap((visit) => {
    const passedOver = !draws.chance(0.94 * share);
    const day = visit.day + draws.integer(0, 5);
    return passedOver ? [] : [{ visit, day }];
  });
}

/** Left-alone segments are not resealed from here on. */
const LEFT_ALONE_FROM = dayOf(2019, 1, 1);

/**
 * All generations of sealant of one segment, from the first to the one in place: each lives its Weibull life, is found
 * failed by a round, waits for its reseal, or is taken out earlier by a preventive campaign or pavement work.
 */
export function liveThrough(
  seed: number,
  plan: FacilityPlan,
  segment: TrueSegment,
  normals: StationNormals,
  visits: readonly SegmentVisit[],
): SealLife[] {
  if (segment.unsealedByPolicy) return [];
  const draws = openDraws(seed, 'life', segment.id);
  const lives: SealLife[] = [];
  let day = plan.timeline.sealedFromDay + draws.integer(0, 60);
  let widthMm = segment.widthMm;
  while (day <= LAST_DAY) {
    const life = liveOnce(draws, plan, segment, normals, visits, day, widthMm);
    lives.push(life);
    if (life.removedDay === null) break;
    day = life.removedDay;
    // Sawing the faces back to clean concrete widens the joint a little.
    widthMm = Math.min(widthMm + draws.integer(0, 2), 60);
  }
  return lives;
}

function liveOnce(
  draws: Draws,
  plan: FacilityPlan,
  segment: TrueSegment,
  normals: StationNormals,
  visits: readonly SegmentVisit[],
  installedDay: number,
  widthMm: number,
): SealLife {
  const use = jointUse(segment.jointType, plan.facility.aadt === null, segment.fuelExposure);
  const sealantClass = draws.chance(0.7)
    ? plan.timeline.projectClass(use, installedDay)
    : pickProjectClass(draws, use, installedDay);
  const preparation = draws.weighted(PREPARATION_MIX);
  const characteristicYears = characteristicLifeYears(
    sealantClass,
    covariatesOf({
      sealantClass,
      normals,
      slabLengthM: segment.slabLengthM,
      baseType: segment.baseType,
      coarseAggregate: segment.coarseAggregate,
      widthMm,
      aadt: plan.facility.aadt,
      longitudinal: segment.jointType === 'longitudinal',
      blasted: isBlasted(preparation),
      fuelExposure: segment.fuelExposure,
    }),
  );
  const lifeDays = Math.max(1, Math.round(characteristicYears * draws.exponential() ** TRUE_SIGMA * DAYS_PER_YEAR));
  const end = drawEnd(draws, plan.timeline, segment, visits, installedDay, installedDay + lifeDays);
  return {
    sealantClass,
    preparation,
    widthMm,
    installedDay,
    characteristicLifeYears: characteristicYears,
    lifeDays,
    ...end,
  };
}

type End = Pick<SealLife, 'removedDay' | 'removalReason' | 'lostVisit'>;

/** When and why a seal is taken out. Nothing but a round that finds it failed depends on its life. */
function drawEnd(
  draws: Draws,
  timeline: FacilityTimeline,
  segment: TrueSegment,
  visits: readonly SegmentVisit[],
  installedDay: number,
  failedDay: number,
): End {
  const found = visits.find(
    ({ day, visit }) => day >= failedDay && day > installedDay && visit.method === 'joint-length',
  );
  const sheetLost = draws.chance(0.08);
  const waitsDays = Math.round(sheetLost ? draws.between(20, 150) : draws.between(60, 900));
  const reseal = found ? inSeason(found.day + waitsDays) : Number.POSITIVE_INFINITY;
  const planned = plannedEnd(draws, timeline, installedDay);
  const removedDay = Math.min(reseal, planned.day);
  const leftAlone = segment.leftAloneReason !== null && removedDay >= LEFT_ALONE_FROM;
  if (removedDay > LAST_DAY || leftAlone) return { removedDay: null, removalReason: null, lostVisit: null };
  const wasFound = found !== undefined && found.day < removedDay;
  const removalReason = wasFound && planned.reason !== 'pavement-work' ? 'failed' : planned.reason;
  return {
    removedDay,
    removalReason: removedDay === reseal ? 'failed' : removalReason,
    lostVisit: sheetLost && removedDay === reseal && found ? found.visit : null,
  };
}

/** The first preventive campaign or pavement work that takes this seal; young seals are passed over. */
function plannedEnd(draws: Draws, timeline: FacilityTimeline, installedDay: number) {
  const campaign = timeline.campaignDays.find((day) => day > installedDay + 4 * DAYS_PER_YEAR);
  const work = timeline.workDays.find((day) => day > installedDay + DAYS_PER_YEAR);
  const campaignDay = campaign !== undefined && draws.chance(0.45) ? campaign : Number.POSITIVE_INFINITY;
  const workDay = work !== undefined && draws.chance(0.3) ? work : Number.POSITIVE_INFINITY;
  return campaignDay <= workDay
    ? { day: campaignDay, reason: 'preventive' as const }
    : { day: workDay, reason: 'pavement-work' as const };
}
