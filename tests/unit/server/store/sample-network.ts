import type { Facility } from '../../../../server/schemas/facility.ts';
import type { Forecast } from '../../../../server/schemas/forecast.ts';
import type { Seal } from '../../../../server/schemas/seal.ts';
import type { LineGeometry, Segment } from '../../../../server/schemas/segment.ts';
import { FACILITY_KINDS, JOINT_TYPES, SEALANT_CLASSES } from '../../../../server/schemas/words.ts';
import type { RecordBatch, SegmentState, Store } from '../../../../server/store/store.ts';
import { facility, inspection, loadAll, seal, segment } from './sample-records.ts';

/** Park and Miller's minimal standard generator (CACM 31:1192-1201, 1988): the same network in every run. */
export function seeded(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state * 48_271) % 2_147_483_647;
    return state / 2_147_483_647;
  };
}

const DISTRICTS = ['North', 'South', 'East, upper', '100% West'];
const NAMES = ['Ring road', 'Bridge_7', 'Runway 09/27', 'Apron 50%', 'O\\Brien Way'];

/** Places are kept to seven decimals. */
const at = (lon: number, lat: number): number[] => [Number(lon.toFixed(7)), Number(lat.toFixed(7))];

function lineAt(lon: number, lat: number, k: number): LineGeometry {
  if (k % 5 !== 0) {
    return {
      type: 'LineString',
      coordinates: [at(lon, lat), at(lon + 0.002, lat + 0.0005), at(lon + 0.004, lat)],
    };
  }
  const across = [0, 1, 2, 3].map((joint) => [at(lon + 0.001 * joint, lat), at(lon + 0.001 * joint, lat + 0.0001)]);
  return { type: 'MultiLineString', coordinates: across };
}

export interface SampleNetwork {
  facilities: Facility[];
  segments: Segment[];
  batches: RecordBatch[];
}

/** An invented network with every kind, ties, unknown measures, segments without seal and without inspection. */
export function sampleNetwork({ segments: count, seed }: { segments: number; seed: number }): SampleNetwork {
  const random = seeded(seed);
  const pick = <T>(words: readonly T[]): T => words[Math.floor(random() * words.length)];
  const facilities = Array.from({ length: Math.ceil(count / 40) }, (_, f) =>
    facility(`F${f}`, { kind: FACILITY_KINDS[f % FACILITY_KINDS.length], name: `${NAMES[f % NAMES.length]} ${f}` }),
  );
  const segments: Segment[] = [];
  const seals: Seal[] = [];
  const inspections: ReturnType<typeof inspection>[] = [];
  for (let i = 0; i < count; i++) {
    const f = Math.floor(i / 40);
    const k = i % 40;
    const measured = f % 4 !== 3;
    const id = `${pick(['a', 'B', 'c_'])}${count - i}`;
    segments.push(
      segment(id, {
        facilityId: `F${f}`,
        district: pick(DISTRICTS),
        jointType: pick(JOINT_TYPES),
        beginM: measured ? k * 360 : null,
        endM: measured ? k * 360 + 360 : null,
        sealedLengthM: pick([100, 250.5, 400]),
        unsealedByPolicy: random() < 0.1,
        geometry: lineAt(-100 + 0.004 * k + 0.3 * (f % 7), 34 + 0.4 * Math.floor(f / 7), i),
      }),
    );
    if (random() < 0.15) continue;
    const year = 2000 + Math.floor(random() * 20);
    seals.push(
      seal(`${id}/1`, {
        segmentId: id,
        sealantClass: pick(SEALANT_CLASSES),
        installedFrom: `${year}-01-01`,
        installedTo: `${year}-12-31`,
      }),
    );
    if (random() < 0.3) continue;
    const damagedShare = pick([0, 0.05, 0.1, 0.3, 1]);
    inspections.push(inspection(`${id}/i`, { segmentId: id, inspectedOn: `${year + 3}-04-01`, damagedShare }));
  }
  const batches: RecordBatch[] = [
    { kind: 'facilities', rows: facilities },
    { kind: 'segments', rows: segments },
    { kind: 'seals', rows: seals },
    { kind: 'inspections', rows: inspections },
  ];
  return { facilities, segments, batches };
}

export const sampleForecast = (change: Partial<Forecast> = {}): Forecast => ({
  planningYear: 2024,
  failedByYearEnd: Array.from({ length: 21 }, (_, year) => (year + 1) / 32),
  failedNowProbability: 0.125,
  knownFailed: false,
  medianFailureYear: 2033.5,
  lowerFailureYear: 2027.25,
  upperFailureYear: null,
  dueYear: 2031,
  dueReason: 'From then on leaving it open costs more than resealing.',
  dataShare: 0.5,
  ...change,
});

/** Adds a forecast to what the store knows of each segment; every seventh falls due beyond the horizon. */
export async function forecastAll(store: Store, ids: readonly string[]): Promise<SegmentState[]> {
  const states: SegmentState[] = [];
  for (const [i, id] of ids.entries()) {
    const state = await store.findState(id);
    if (!state) throw new Error(`no state of ${id}`);
    const dueYear = i % 7 === 0 ? null : 2024 + (i % 20);
    const forecast = sampleForecast({
      dueYear,
      failedNowProbability: (i % 16) / 16,
      medianFailureYear: i % 5 === 0 ? null : 2025 + (i % 9),
      failedByYearEnd: Array.from({ length: 21 }, (_, year) => Math.min(1, (year + (i % 3)) / 32)),
    });
    states.push({ ...state, forecast });
  }
  await store.writeForecast({
    report: { version: 0, summary: 'sample' },
    draws: Uint8Array.of(1, 2, 3),
    budget: { modelVersion: 0, rows: [] },
    states: [states],
  });
  return states;
}

export async function loadNetwork(store: Store, network: SampleNetwork): Promise<void> {
  await loadAll(store, network.batches);
}
