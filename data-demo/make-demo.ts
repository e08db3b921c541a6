import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { setImmediate } from 'node:timers/promises';
import { isoOf } from './days.ts';
import { type RefusedRow, type Sample, writeRefusedRows } from './flaws.ts';
import { liveThrough, visitsOf } from './lives.ts';
import { type FacilityPlan, planNetwork, type TrueSegment } from './network.ts';
import { distanceKm, type Position } from './place.ts';
import { openDraws } from './random.ts';
import { type Contradiction, readSegment } from './readings.ts';
import { flawedReadmeText, readmeText } from './readme.ts';
import { leftRecord, writeSeals } from './seal-records.ts';
import { type StationNormals, stationNormals } from './station-normals.ts';
import { STATIONS } from './stations.ts';
import {
  facilityCells,
  openTables,
  readingCells,
  sealCells,
  stationCells,
  type Tables,
  weatherCells,
  writeSegment,
} from './tables.ts';
import { type DemoCounts, type DemoTruth, describeTruth } from './truth.ts';
import { writeUnitCosts } from './unit-costs.ts';
import { generateWeather } from './weather.ts';
import { CsvFile } from './writers.ts';

export const FEWEST_SEGMENTS = 100;
export const MOST_SEGMENTS = 1_000_000;
export const DEFAULT_SEED = 20_260_701;

export interface DemoRequest {
  /** From 100 to 1,000,000. */ readonly segments: number;
  /** Made if need be; files of the same names are overwritten. */ readonly outDir: string;
  /** Whole number; the same seed and size give the same bytes. */ readonly seed?: number;
  /** Share of inspection rounds that took place, above 0, at most 1; 1 unless said. */ readonly inspectionShare?: number;
  readonly onProgress?: (segmentsDone: number, segmentsInAll: number) => void;
}

/** What the writing of one demo keeps at hand. */
interface Run {
  readonly seed: number;
  readonly inspectionShare: number;
  readonly tables: Tables;
  readonly lives: CsvFile;
  readonly normals: ReadonlyMap<string, StationNormals>;
  readonly counts: DemoCounts;
  readonly contradictions: Contradiction[];
  sample: Sample | null;
}

/**
 * Writes the records of the invented agency, file by file and row by row, and the truth behind them.
 * @throws RangeError naming the field when the request is out of bounds; an error of the file system as it comes
 */
export async function makeDemo(request: DemoRequest): Promise<DemoTruth> {
  const { segments, outDir, seed = DEFAULT_SEED, inspectionShare = 1, onProgress } = request;
  requireBounds({ segments, seed, inspectionShare });
  mkdirSync(join(outDir, 'flawed'), { recursive: true });
  const tables = openTables(outDir);
  const lives = new CsvFile(join(outDir, 'truth-lives.csv'), LIFE_COLUMNS);
  try {
    const normals = writeClimate(seed, tables);
    writeUnitCosts(tables.unitCosts);
    const run: Run = {
      seed,
      inspectionShare,
      tables,
      lives,
      normals,
      counts: noCounts(),
      contradictions: [],
      sample: null,
    };
    for (const plan of planNetwork(seed, segments)) {
      writeFacility(run, plan);
      onProgress?.(run.counts.segments, segments);
      await setImmediate();
    }
    return finish(run, outDir);
  } finally {
    for (const table of [...Object.values(tables), lives]) table.close();
  }
}

function requireBounds({
  segments,
  seed,
  inspectionShare,
}: Required<Pick<DemoRequest, 'segments' | 'seed' | 'inspectionShare'>>) {
  if (!Number.isInteger(segments) || segments < FEWEST_SEGMENTS || segments > MOST_SEGMENTS)
    throw new RangeError(
      `segments is ${segments}; expected a whole number from ${FEWEST_SEGMENTS} to ${MOST_SEGMENTS}`,
    );
  if (!Number.isSafeInteger(seed)) throw new RangeError(`seed is ${seed}; expected a whole number`);
  if (!(inspectionShare > 0 && inspectionShare <= 1))
    throw new RangeError(`inspectionShare is ${inspectionShare}; expected above 0, at most 1`);
}

const LIFE_COLUMNS = [
  'segmentId',
  'sealantClass',
  'installedOn',
  'lifeYears',
  'characteristicLifeYears',
  'removedOn',
  'recorded',
];

const noCounts = (): DemoCounts => ({
  facilities: 0,
  lateRecordFacilities: 0,
  segments: 0,
  unsealedByPolicy: 0,
  leftAlone: 0,
  segmentWidthsMissing: 0,
  sealsLived: 0,
  sealsRecorded: 0,
  sealsWithDelayedEntry: 0,
  inspections: 0,
  removalDatesMissing: 0,
  removalReasonsUnknown: 0,
  classesUnknown: 0,
  classesByOldWord: 0,
  contradictions: 0,
});

function writeClimate(seed: number, tables: Tables): Map<string, StationNormals> {
  const normals = new Map<string, StationNormals>();
  for (const station of STATIONS) {
    tables.stations.write(stationCells(station));
    const days = [...generateWeather(seed, station)];
    for (const day of days) tables.climate.write(weatherCells(station.id, day));
    normals.set(station.id, stationNormals(days));
  }
  return normals;
}

function writeFacility(run: Run, plan: FacilityPlan): void {
  run.tables.facilities.write(facilityCells(plan.facility));
  run.counts.facilities++;
  if (plan.timeline.sealedFromDay < plan.timeline.recordsFromDay) run.counts.lateRecordFacilities++;
  for (const segment of plan.segments()) writeOneSegment(run, plan, segment);
}

function writeOneSegment(run: Run, plan: FacilityPlan, segment: TrueSegment): void {
  const { seed, counts, tables } = run;
  const widthMissing = openDraws(seed, 'width-missing', segment.id).chance(0.02);
  const written = { ...segment, widthMm: widthMissing ? null : segment.widthMm };
  writeSegment(tables.segments, written);
  counts.segments++;
  if (widthMissing) counts.segmentWidthsMissing++;
  if (segment.unsealedByPolicy) counts.unsealedByPolicy++;
  if (segment.leftAloneReason !== null) counts.leftAlone++;

  const normals = normalsAt(run, segment);
  const visits = visitsOf(seed, plan.timeline, segment.id, run.inspectionShare);
  const lives = liveThrough(seed, plan, segment, normals, visits);
  const { recordsFromDay } = plan.timeline;
  for (const life of lives) {
    counts.sealsLived++;
    run.lives.write([
      segment.id,
      life.sealantClass,
      isoOf(life.installedDay),
      (life.lifeDays / 365.25).toFixed(3),
      life.characteristicLifeYears.toFixed(3),
      life.removedDay === null ? null : isoOf(life.removedDay),
      leftRecord(life, recordsFromDay) ? 1 : 0,
    ]);
  }
  const seals = writeSeals(seed, plan.timeline, segment.id, lives);
  const { readings, contradictions } = readSegment(seed, segment.id, recordsFromDay, seals, visits);
  for (const seal of seals) {
    tables.seals.write(sealCells(seal));
    counts.sealsRecorded++;
    if (seal.life.installedDay < recordsFromDay) counts.sealsWithDelayedEntry++;
    if (seal.removalDateMissing) counts.removalDatesMissing++;
    if (seal.removalReason === 'unknown') counts.removalReasonsUnknown++;
    if (seal.writtenClass === 'unknown') counts.classesUnknown++;
    if (/rubberised|pour/.test(seal.writtenClass)) counts.classesByOldWord++;
  }
  for (const reading of readings) tables.inspections.write(readingCells(reading));
  counts.inspections += readings.length;
  counts.contradictions += contradictions.length;
  if (run.contradictions.length < 500) run.contradictions.push(...contradictions);
  const spoilable = segment.geometry.type === 'LineString' && seals.length > 0 && readings.length > 0;
  if (!run.sample && spoilable)
    run.sample = { facility: plan.facility, segment: written, seal: seals[0], reading: readings[0] };
}

/** Normals of the station nearest to the middle of a segment's first line. */
function normalsAt({ normals }: Run, { geometry }: TrueSegment): StationNormals {
  const line = (geometry.type === 'LineString' ? geometry.coordinates : geometry.coordinates[0]) as Position[];
  const at = line[Math.floor(line.length / 2)];
  const nearest = STATIONS.reduce((a, b) => (distanceKm(at, a.position) <= distanceKm(at, b.position) ? a : b));
  const values = normals.get(nearest.id);
  if (!values) throw new Error(`No weather at station ${nearest.id}`);
  return values;
}

function finish(run: Run, outDir: string): DemoTruth {
  if (!run.sample) throw new Error('No segment with seals and inspections to make refused rows of');
  const refusedRows = writeRefusedRows(run.tables, run.sample);
  const flawedRows = writeFlawedFolder(join(outDir, 'flawed'), run.sample);
  const truth = describeTruth({ ...run, refusedRows, flawedRows });
  writeFileSync(join(outDir, 'truth.json'), `${JSON.stringify(truth, null, 2)}\n`);
  writeFileSync(join(outDir, 'README.txt'), readmeText(truth));
  return truth;
}

/** A few sound rows of each file, then one refused row of each kind. */
function writeFlawedFolder(folder: string, sample: Sample): RefusedRow[] {
  const tables = openTables(folder);
  try {
    tables.facilities.write(facilityCells(sample.facility));
    writeSegment(tables.segments, sample.segment);
    tables.seals.write(sealCells(sample.seal));
    tables.inspections.write(readingCells(sample.reading));
    tables.stations.write(stationCells(STATIONS[0]));
    tables.climate.write([STATIONS[0].id, '2021-02-28', 2.2, -7.4, 0]);
    tables.unitCosts.write(['polysulfide', 'any', 14.8, '2025-07-01', 'invented']);
    const refused = writeRefusedRows(tables, sample);
    writeFileSync(join(folder, 'README.txt'), flawedReadmeText(refused));
    return refused;
  } finally {
    for (const table of Object.values(tables)) table.close();
  }
}
