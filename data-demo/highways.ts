import type { District } from './agency.ts';
import { planBridge } from './bridges.ts';
import { Carriageway } from './carriageway.ts';
import { type Centreline, drawCentreline } from './centreline.ts';
import { isoOf } from './days.ts';
import type { FacilityPlan, TrueSegment } from './network.ts';
import type { Place } from './place.ts';
import { type Draws, openDraws } from './random.ts';
import { finishSegment, type SegmentDraft, type Slabs } from './segment-record.ts';
import { drawTimeline } from './timeline.ts';

export const LANE_M = 3.7;
const POINT_EVERY_M = 100;

/** A route: one centreline, one cross section. */
export interface Route {
  readonly name: string;
  readonly district: District;
  readonly centreline: Centreline;
  readonly lanes: number;
  readonly aadt: number;
  readonly truckShare: number;
  readonly asphaltShoulders: boolean;
  readonly slabs: Slabs;
}

/** Kilometre post in hundreds of metres, four digits: 34,500 m is 0345. */
export const post = (measureM: number): string => String(Math.round(measureM / 100)).padStart(4, '0');

/** Where a further route may begin: a place on an earlier one, and that one's heading there. */
interface Junction {
  readonly place: Place;
  readonly heading: number;
}

/** Beyond this distance of the district's centre a route turns inwards. */
const TURN_BACK_M = 40_000;

/** The first route runs through the district's centre; later ones start where none has started yet. */
function branchOff(draws: Draws, junctions: Junction[]): Junction {
  if (junctions.length === 0) {
    const heading = draws.between(0, 2 * Math.PI);
    return { place: { x: -25_000 * Math.cos(heading), y: -25_000 * Math.sin(heading) }, heading };
  }
  const [{ place, heading }] = junctions.splice(draws.integer(0, junctions.length - 1), 1);
  const inwards = Math.atan2(-place.y, -place.x);
  const far = Math.hypot(place.x, place.y) > TURN_BACK_M;
  const aside = heading + draws.pick([-1, 1]) * draws.between(1, 2.1);
  return { place, heading: far ? inwards + draws.between(-0.9, 0.9) : aside };
}

const JUNCTION_EVERY_M = 15_000;
const JUNCTIONS_KEPT = 200;

const junctionsOf = ({ centreline }: Route): Junction[] =>
  Array.from({ length: Math.floor(centreline.lengthM / JUNCTION_EVERY_M) }, (_, i) => {
    const measureM = (i + 0.5) * JUNCTION_EVERY_M;
    return { place: centreline.at(measureM, 0), heading: centreline.headingAt(measureM) };
  });

/** Takes the junction that it starts from out of `junctions`. */
function drawRoute(seed: number, district: District, number: number, junctions: Junction[]): Route {
  const name = `H${number}`;
  const draws = openDraws(seed, 'route', name);
  const lanes = draws.chance(0.35) ? 4 : 2;
  const start = branchOff(draws, junctions);
  return {
    name,
    district,
    centreline: drawCentreline(draws, draws.integer(350, 850) * 100, start.place, start.heading),
    lanes,
    aadt: Math.round(Math.exp(draws.between(Math.log(1800), Math.log(lanes === 4 ? 38_000 : 14_000))) / 100) * 100,
    truckShare: Math.round(draws.between(0.05, 0.3) * 100) / 100,
    asphaltShoulders: draws.chance(0.65),
    slabs: {
      lengthM: draws.pick([4.6, 5.5, 6.1, 9.1]),
      thicknessMm: draws.pick([200, 225, 250, 280]),
      base: draws.chance(0.6) ? 'granular' : 'stabilised',
      aggregate: draws.pick(['quartz', 'gravel', 'granite', 'basalt', 'limestone', 'sandstone']),
    },
  };
}

/** Highways and bridges of one district, exactly `count` segments. Routes are numbered so that districts interleave. */
export function* planHighways(seed: number, district: District, place: number, count: number): Generator<FacilityPlan> {
  let left = count;
  let junctions: Junction[] = [];
  for (let i = 0; left > 0; i++) {
    const route = drawRoute(seed, district, 12 + 3 * i + place, junctions);
    junctions = [...junctions, ...junctionsOf(route)].slice(-JUNCTIONS_KEPT);
    const draws = openDraws(seed, 'sections', route.name);
    let beginM = 0;
    for (let number = 1; left > 0 && beginM < route.centreline.lengthM - 1000; number++) {
      const endM = Math.min(beginM + draws.integer(70, 140) * 100, Math.floor(route.centreline.lengthM / 100) * 100);
      const measures = drawMeasures(draws, beginM, endM);
      const section = planSection(seed, route, number, measures, left);
      left -= section.count;
      yield section.plan;
      beginM = endM;
      if (left > 0 && draws.chance(0.45)) {
        const bridge = planBridge(seed, route, endM, left);
        left -= bridge.count;
        yield bridge.plan;
        beginM = endM + Math.ceil(bridge.lengthM / 100) * 100;
      }
    }
  }
}

type Measure = readonly [beginM: number, endM: number];

function drawMeasures(draws: Draws, beginM: number, endM: number): Measure[] {
  const measures: Measure[] = [];
  for (let at = beginM; at < endM; ) {
    const next = Math.min(at + draws.integer(2, 10) * 100, endM);
    measures.push([at, next]);
    at = next;
  }
  return measures;
}

function planSection(seed: number, route: Route, number: number, measures: readonly Measure[], limit: number) {
  const id = `${route.name}-S${String(number).padStart(2, '0')}`;
  const drafts = measures.flatMap((measure) => draftMeasure(seed, route, id, measure)).slice(0, limit);
  const timeline = drawTimeline(seed, id, 'highway');
  const [beginM, endM] = [measures[0][0], measures[measures.length - 1][1]];
  const plan: FacilityPlan = {
    facility: {
      id,
      kind: 'highway',
      name: `Highway ${route.name.slice(1)}, km ${beginM / 1000} to ${endM / 1000}`,
      route: route.name,
      district: route.district.name,
      lanes: route.lanes,
      widthM: route.lanes * LANE_M,
      aadt: route.aadt,
      truckShare: route.truckShare,
      departuresPerYear: null,
      yearBuilt: timeline.yearBuilt,
      recordsFrom: isoOf(timeline.recordsFromDay),
    },
    district: route.district,
    timeline,
    *segments(): Generator<TrueSegment> {
      for (const draft of drafts) yield finishSegment(seed, route.district, route.slabs, draft);
    },
  };
  return { plan, count: drafts.length };
}

/** Points along the route between two measures, `offsetM` to the left of the centreline. */
function along(route: Route, [beginM, endM]: Measure, offsetM: number): Place[] {
  const points: Place[] = [];
  for (let at = beginM; at < endM; at += POINT_EVERY_M) points.push(route.centreline.at(at, offsetM));
  points.push(route.centreline.at(endM, offsetM));
  return points;
}

/** The joints between two measures: one group of transverse joints, each longitudinal joint, both shoulders. */
function draftMeasure(seed: number, route: Route, facilityId: string, measure: Measure): SegmentDraft[] {
  const draws = openDraws(seed, 'measure', facilityId, String(measure[0]));
  const [beginM, endM] = measure;
  const lengthM = endM - beginM;
  const widthM = route.lanes * LANE_M;
  const name = `${route.name}-${post(beginM)}`;
  const common = { facilityId, beginM, endM };
  const count = Math.floor(lengthM / route.slabs.lengthM);
  const carriageway = new Carriageway(route.centreline, route.lanes);
  const drafts: SegmentDraft[] = [
    {
      ...{ ...common, ...carriageway.across() },
      id: `${name}-T`,
      jointType: 'transverse-contraction',
      slabLengthM: route.slabs.lengthM,
      jointCount: count,
      sealedLengthM: count * widthM,
      widthMm: [8, 14],
      lines: [along(route, measure, -LANE_M / 2)],
    },
  ];
  const runs = (id: string, jointType: SegmentDraft['jointType'], offsetM: number): SegmentDraft => ({
    ...{ ...common, ...carriageway.along(Math.round(offsetM / LANE_M)) },
    id: `${name}-${id}`,
    jointType,
    slabLengthM: LANE_M,
    jointCount: 1,
    sealedLengthM: lengthM,
    widthMm: jointType === 'longitudinal' ? [6, 10] : [10, 20],
    lines: [along(route, measure, offsetM)],
  });
  for (let i = 1; i < route.lanes; i++) drafts.push(runs(`L${i}`, 'longitudinal', i * LANE_M - widthM / 2));
  const shoulder = route.asphaltShoulders ? 'asphalt-shoulder' : 'longitudinal';
  drafts.push(runs('SL', shoulder, widthM / 2), runs('SR', shoulder, -widthM / 2));
  const single = draws.chance(0.16) ? 'C' : draws.chance(0.05) ? 'E' : null;
  if (single) {
    const at = beginM + Math.round(lengthM / 3);
    drafts.push({
      ...{ ...common, ...carriageway.across() },
      id: `${name}-${single}`,
      jointType: single === 'C' ? 'transverse-construction' : 'transverse-expansion',
      beginM: at,
      endM: at,
      slabLengthM: route.slabs.lengthM * (single === 'C' ? 1 : 3),
      jointCount: 1,
      sealedLengthM: widthM,
      widthMm: single === 'C' ? [8, 14] : [19, 26],
      lines: [[route.centreline.at(at, -widthM / 2), route.centreline.at(at, widthM / 2)]],
    });
  }
  return drafts;
}
