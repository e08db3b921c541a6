import type { FacilityKind } from '../server/schemas/words.ts';
import { DRY_PLAINS } from './agency.ts';
import { isoOf } from './days.ts';
import type { FacilityPlan, TrueSegment } from './network.ts';
import { inFrame, type Place } from './place.ts';
import { finishSegment, type SegmentDraft, type Slabs } from './segment-record.ts';
import { drawTimeline } from './timeline.ts';

const DISTRICT = DRY_PLAINS;
const MIDDLE: Place = { x: 14_000, y: -9_000 };
/** Bearing of the main runway, radians from east. */
const TURN = 0.38;
const SLABS: Slabs = { lengthM: 6.1, thicknessMm: 400, base: 'stabilised', aggregate: 'limestone' };

/** A rectangle of slabs in the airport's frame: u along the main runway, v to its left. */
interface Pavement {
  readonly code: string;
  readonly kind: FacilityKind;
  readonly name: string;
  readonly u: number;
  readonly v: number;
  /** Quarter turns and so on, radians from the main runway. */ readonly turn: number;
  readonly lengthM: number;
  readonly widthM: number;
  /** Width of a paving lane. */ readonly laneM: number;
  readonly slabM: number;
  readonly blockM: number;
  readonly shoulders: boolean;
  readonly fuel: boolean;
  readonly departuresPerYear: number;
  readonly consequenceWeight: number;
  /** Blocks whose middle lies this near to the main runway's centreline belong to the runway. */
  readonly clearOfMainM?: number;
}

const runway = { kind: 'runway', laneM: 7.5, slabM: 6.1, shoulders: true, fuel: false, consequenceWeight: 8 } as const;
const taxiway = { kind: 'taxiway', slabM: 6.1, fuel: false, consequenceWeight: 5 } as const;
const apron = { kind: 'apron', turn: 0, laneM: 7.5, slabM: 7.5, shoulders: false, consequenceWeight: 4 } as const;
const TURNED = Math.PI / 2;

const connector = (code: string, u: number): Pavement => ({
  ...taxiway,
  code,
  name: `Taxiway ${code.slice(1)} (connector)`,
  u,
  v: -95.5,
  turn: TURNED,
  lengthM: 146,
  widthM: 22.5,
  laneM: 7.5,
  blockM: 146,
  shoulders: true,
  departuresPerYear: 9_000,
});

/** Runway, aprons and crossing runway first, so that an airport cut short still has each kind. */
const PAVEMENTS: readonly Pavement[] = [
  {
    ...runway,
    code: 'RA',
    name: 'Runway A',
    u: 0,
    v: 0,
    turn: 0,
    lengthM: 2700,
    widthM: 45,
    blockM: 300,
    departuresPerYear: 31_000,
  },
  {
    ...apron,
    code: 'P1',
    name: 'Terminal apron',
    u: -320,
    v: -325,
    lengthM: 360,
    widthM: 150,
    blockM: 60,
    fuel: true,
    departuresPerYear: 24_000,
  },
  {
    ...runway,
    code: 'RB',
    name: 'Runway B',
    u: 500,
    v: 677.5,
    turn: 1.01,
    lengthM: 1900,
    widthM: 30,
    blockM: 100,
    clearOfMainM: 40,
    departuresPerYear: 11_000,
  },
  {
    ...apron,
    code: 'P3',
    name: 'General apron',
    u: 620,
    v: -295,
    lengthM: 180,
    widthM: 90,
    blockM: 60,
    fuel: false,
    departuresPerYear: 9_000,
  },
  {
    ...taxiway,
    code: 'TA',
    name: 'Taxiway A (parallel)',
    u: 0,
    v: -180,
    turn: 0,
    lengthM: 2700,
    widthM: 22.5,
    laneM: 7.5,
    blockM: 300,
    shoulders: true,
    departuresPerYear: 42_000,
  },
  connector('TA1', -1338),
  connector('TA2', -450),
  connector('TA3', 450),
  connector('TA4', 1338),
  {
    ...apron,
    code: 'P2',
    name: 'Cargo apron',
    u: 200,
    v: -310,
    lengthM: 240,
    widthM: 120,
    blockM: 60,
    fuel: true,
    departuresPerYear: 6_000,
  },
  {
    ...taxiway,
    code: 'TB1',
    name: 'Taxiway B1 (to the terminal apron)',
    u: -320,
    v: -220.6,
    turn: TURNED,
    lengthM: 58,
    widthM: 22.5,
    laneM: 7.5,
    blockM: 58,
    shoulders: true,
    departuresPerYear: 24_000,
  },
  {
    ...taxiway,
    code: 'TB2',
    name: 'Taxiway B2 (to the cargo apron)',
    u: 200,
    v: -220.6,
    turn: TURNED,
    lengthM: 58,
    widthM: 22.5,
    laneM: 7.5,
    blockM: 58,
    shoulders: true,
    departuresPerYear: 6_000,
  },
];

/** The invented airport, at most `limit` segments: two crossing runways, taxiways and aprons with their joint grids. */
export function* planAirport(seed: number, limit: number): Generator<{ plan: FacilityPlan; count: number }> {
  let left = limit;
  for (const pavement of PAVEMENTS) {
    const drafts = draftPavement(pavement).slice(0, left);
    if (drafts.length === 0) return;
    left -= drafts.length;
    yield { plan: toPlan(seed, pavement, drafts), count: drafts.length };
  }
}

function toPlan(seed: number, pavement: Pavement, drafts: readonly SegmentDraft[]): FacilityPlan {
  const id = `AP1-${pavement.code}`;
  const timeline = drawTimeline(seed, id, pavement.kind);
  return {
    facility: {
      id,
      kind: pavement.kind,
      name: `Three Climates Airport, ${pavement.name}`,
      route: null,
      district: DISTRICT.name,
      lanes: null,
      widthM: pavement.widthM,
      aadt: null,
      truckShare: null,
      departuresPerYear: pavement.departuresPerYear,
      yearBuilt: timeline.yearBuilt,
      recordsFrom: isoOf(timeline.recordsFromDay),
    },
    district: DISTRICT,
    timeline,
    *segments(): Generator<TrueSegment> {
      for (const draft of drafts) yield finishSegment(seed, DISTRICT, SLABS, draft);
    },
  };
}

/** Block by block: the transverse joints as one group, each joint between paving lanes, each shoulder. */
function draftPavement(pavement: Pavement): SegmentDraft[] {
  const drafts: SegmentDraft[] = [];
  const origin = inFrame(MIDDLE, TURN, pavement.u, pavement.v);
  const at = (u: number, v: number) => inFrame(origin, TURN + pavement.turn, u - pavement.lengthM / 2, v);
  const blocks = Math.ceil(pavement.lengthM / pavement.blockM);
  for (let block = 0; block < blocks; block++) {
    const beginM = block * pavement.blockM;
    const endM = Math.min(beginM + pavement.blockM, pavement.lengthM);
    const middle = (beginM + endM) / 2 - pavement.lengthM / 2;
    const fromMainM = Math.abs(pavement.v + middle * Math.sin(pavement.turn));
    if (fromMainM < (pavement.clearOfMainM ?? 0)) continue;
    drafts.push(
      ...draftBlock(pavement, `AP1-${pavement.code}-${String(block + 1).padStart(2, '0')}`, beginM, endM, at),
    );
  }
  if (pavement.kind === 'apron') drafts.push(draftIsolation(pavement, at));
  return drafts;
}

type ToPlace = (u: number, v: number) => Place;

function draftBlock(pavement: Pavement, name: string, beginM: number, endM: number, at: ToPlace): SegmentDraft[] {
  const half = pavement.widthM / 2;
  const shared = {
    facilityId: `AP1-${pavement.code}`,
    beginM,
    endM,
    fuelExposure: pavement.fuel,
    consequenceWeight: pavement.consequenceWeight,
  };
  const across: Place[][] = [];
  for (let u = beginM; u < endM - 0.01; u += pavement.slabM) across.push([at(u, -half), at(u, half)]);
  const lengthwise = (code: string, jointType: SegmentDraft['jointType'], v: number): SegmentDraft => ({
    ...shared,
    id: `${name}-${code}`,
    jointType,
    slabLengthM: pavement.laneM,
    jointCount: 1,
    sealedLengthM: endM - beginM,
    widthMm: jointType === 'longitudinal' ? [8, 13] : [12, 20],
    lines: [[at(beginM, v), at(endM, v)]],
  });
  const drafts: SegmentDraft[] = [
    {
      ...shared,
      id: `${name}-T`,
      jointType: 'transverse-contraction',
      slabLengthM: pavement.slabM,
      jointCount: across.length,
      sealedLengthM: across.length * pavement.widthM,
      widthMm: [9, 14],
      lines: across,
    },
  ];
  const lanes = Math.round(pavement.widthM / pavement.laneM);
  for (let i = 1; i < lanes; i++) drafts.push(lengthwise(`L${i}`, 'longitudinal', i * pavement.laneM - half));
  if (pavement.shoulders)
    drafts.push(lengthwise('SL', 'asphalt-shoulder', half), lengthwise('SR', 'asphalt-shoulder', -half));
  return drafts;
}

/** The joint that keeps an apron apart from the taxiway: along its upper edge. */
function draftIsolation(pavement: Pavement, at: ToPlace): SegmentDraft {
  const half = pavement.widthM / 2;
  return {
    id: `AP1-${pavement.code}-I`,
    facilityId: `AP1-${pavement.code}`,
    jointType: 'isolation',
    beginM: 0,
    endM: pavement.lengthM,
    slabLengthM: pavement.slabM * 2,
    jointCount: 1,
    sealedLengthM: pavement.lengthM,
    widthMm: [19, 24],
    fuelExposure: pavement.fuel,
    consequenceWeight: pavement.consequenceWeight,
    lines: [[at(0, half + 0.4), at(pavement.lengthM, half + 0.4)]],
  };
}
