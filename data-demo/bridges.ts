import { Carriageway } from './carriageway.ts';
import { isoOf } from './days.ts';
import { LANE_M, post, type Route } from './highways.ts';
import type { FacilityPlan, TrueSegment } from './network.ts';
import { openDraws } from './random.ts';
import { finishSegment, type SegmentDraft } from './segment-record.ts';
import { drawTimeline } from './timeline.ts';

/** A bridge that begins at a measure of a route: a deck joint at each end of each span, drawn across the deck. */
export function planBridge(seed: number, route: Route, beginM: number, limit: number) {
  const id = `B${route.name.slice(1)}-${post(beginM)}`;
  const draws = openDraws(seed, 'bridge', id);
  const spans = draws.integer(1, 5);
  const spanM = draws.integer(16, 34);
  const widthM = route.lanes * LANE_M + 3;
  const timeline = drawTimeline(seed, id, 'bridge');
  const drafts: SegmentDraft[] = [];
  for (let i = 0; i <= spans && i < limit; i++) {
    const at = beginM + i * spanM;
    drafts.push({
      id: `${id}-D${i + 1}`,
      facilityId: id,
      jointType: 'bridge-deck',
      ...new Carriageway(route.centreline, route.lanes).across(),
      beginM: at,
      endM: at,
      slabLengthM: spanM,
      jointCount: 1,
      sealedLengthM: widthM,
      widthMm: [30, 50],
      consequenceWeight: 3,
      lines: [[route.centreline.at(at, -widthM / 2), route.centreline.at(at, widthM / 2)]],
    });
  }
  const slabs = { ...route.slabs, base: 'unknown' as const };
  const plan: FacilityPlan = {
    facility: {
      id,
      kind: 'bridge',
      name: `Bridge of highway ${route.name.slice(1)} at km ${beginM / 1000}`,
      route: route.name,
      district: route.district.name,
      lanes: route.lanes,
      widthM,
      aadt: route.aadt,
      truckShare: route.truckShare,
      departuresPerYear: null,
      yearBuilt: timeline.yearBuilt,
      recordsFrom: isoOf(timeline.recordsFromDay),
    },
    district: route.district,
    timeline,
    *segments(): Generator<TrueSegment> {
      for (const draft of drafts) yield finishSegment(seed, route.district, slabs, draft);
    },
  };
  return { plan, count: drafts.length, lengthM: spans * spanM };
}
