import { type WeatherGate, weatherGate } from '../../analytics/closures/weather-gates.ts';
import type { ResealJob } from '../../analytics/closures/work-blocks.ts';
import type { ClosureRules } from '../schemas/closure-rules.ts';
import type { Facility } from '../schemas/facility.ts';
import type { StoredWork } from '../store/scenario-store.ts';
import type { DrawnSegment, Store } from '../store/store.ts';
import { alongPavement } from './along-pavement.ts';
import type { ClosingWork } from './closing-work.ts';

/** One reseal of the program with the segment it is for. */
export interface PlannedWork {
  readonly work: StoredWork;
  readonly segment: DrawnSegment['segment'];
  readonly geometry: DrawnSegment['geometry'];
  readonly facility: Facility;
}

export interface WorkOfYear {
  /** By facility, in order along the pavement. */ readonly planned: readonly PlannedWork[];
  /** Works of the program whose segment is no longer on record. */ readonly lost: readonly string[];
}

/** The works that a scenario's program has in the year of a plan, at the facilities of the plan. */
export async function readWorkOfYear(
  store: Store,
  { scenarioId, year, facilityIds }: Pick<ClosureRules, 'scenarioId' | 'year' | 'facilityIds'>,
): Promise<WorkOfYear> {
  const wanted = new Set(facilityIds);
  const works: StoredWork[] = [];
  for await (const batch of store.readWorks(scenarioId, 'segment'))
    for (const work of batch)
      if (work.year === year && (wanted.size === 0 || wanted.has(work.facilityId))) works.push(work);
  const drawn = await store.closures.findSegments(works.map(({ segmentId }) => segmentId));
  const segments = new Map(drawn.map((each) => [each.segment.id, each]));
  const found = works.flatMap((work): PlannedWork[] => {
    const record = segments.get(work.segmentId);
    return record ? [{ work, ...record }] : [];
  });
  const byFacility = new Map<string, PlannedWork[]>();
  for (const each of found) {
    const list = byFacility.get(each.facility.id);
    if (list) list.push(each);
    else byFacility.set(each.facility.id, [each]);
  }
  return {
    planned: [...byFacility.keys()].sort().flatMap((id) => alongPavement(byFacility.get(id) ?? [])),
    lost: works.filter(({ segmentId }) => !segments.has(segmentId)).map(({ segmentId }) => segmentId),
  };
}

const LEAST_WEIGHT = 0.01;

/** A work as the solver knows it: its facility is what closes for it. */
export const resealJob = (
  { planned: { work, segment }, unit, fromM, lengthM }: ClosingWork,
  rules: ClosureRules,
): ResealJob => ({
  segmentId: work.segmentId,
  facilityId: unit.id,
  ...{ lengthM, fromM },
  weightPerM: Math.max(LEAST_WEIGHT, segment.consequenceWeight),
  fuelExposure: segment.fuelExposure,
  requiresClosed: neededClosed(rules, segment),
  gateId: weatherGate(rules.gateProfile, work.sealantClass).id,
  concretePlacedDay: null,
  oldClass: work.sealantClassInPlace,
  newClass: work.sealantClass,
  washAfterSawing: rules.washAfterSawing,
  withRod: true,
});

const neededClosed = ({ safetyAreas }: ClosureRules, segment: { id: string; facilityId: string }): string[] => [
  ...new Set(
    safetyAreas
      .filter(({ facilityId, segmentIds }) => facilityId === segment.facilityId && covers(segmentIds, segment.id))
      .map(({ needsClosed }) => needsClosed),
  ),
];
const covers = (segmentIds: readonly string[], id: string) => segmentIds.length === 0 || segmentIds.includes(id);

/** The weather limits that some classes work under, each once. */
export const gatesOf = (rules: ClosureRules, classes: Iterable<string>): WeatherGate[] => {
  const gates = [...classes].map((sealantClass) => weatherGate(rules.gateProfile, sealantClass));
  return [...new Map(gates.map((gate) => [gate.id, gate])).values()];
};
