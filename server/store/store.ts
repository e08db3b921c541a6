import type { ClimateDay, ClimateStation } from '../schemas/climate.ts';
import type { Facility } from '../schemas/facility.ts';
import type { Filter, SortField } from '../schemas/filter.ts';
import type { Forecast, SegmentPage, SegmentRow, Summary } from '../schemas/forecast.ts';
import type { Inspection } from '../schemas/inspection.ts';
import type { Job } from '../schemas/job.ts';
import type { Load } from '../schemas/load.ts';
import type { Seal } from '../schemas/seal.ts';
import type { LineGeometry, Segment } from '../schemas/segment.ts';
import type { Settings } from '../schemas/settings.ts';
import type { UnitCost } from '../schemas/unit-cost.ts';
import type { JointType, RecordKind, SealantClass } from '../schemas/words.ts';
import type { ClosureStore } from './closure-store.ts';
import type { ScenarioStore } from './scenario-store.ts';

/** Rows of one kind, as one batch of a load. */
export type RecordBatch =
  | { kind: 'facilities'; rows: readonly Facility[] }
  | { kind: 'segments'; rows: readonly Segment[] }
  | { kind: 'seals'; rows: readonly Seal[] }
  | { kind: 'inspections'; rows: readonly Inspection[] }
  | { kind: 'stations'; rows: readonly ClimateStation[] }
  | { kind: 'climate'; rows: readonly ClimateDay[] }
  | { kind: 'unit-costs'; rows: readonly UnitCost[] };

export interface WriteCounts {
  inserted: number;
  updated: number;
  unchanged: number;
}

/** One transaction of a load: nothing is visible before commit, nothing is left after rollback. */
export interface LoadTransaction {
  write(batch: RecordBatch): WriteCounts;
  /** Also recomputes what hangs on the records (R*Tree, runs for low zooms) and bumps the data version. */
  commit(): void;
  rollback(): void;
}

/** A segment's history with its line. */
export type DrawnSegment = SegmentHistory & { geometry: LineGeometry };

/** What the observation builder needs of one segment: its seals in order of installation, and its inspections. */
export interface SegmentHistory {
  segment: Omit<Segment, 'geometry'> & { lon: number; lat: number };
  facility: Facility;
  seals: Seal[];
  inspections: Inspection[];
}

/** What the model reads of a history: networks have a hundred thousand, and what only people read would take twice the time. */
export interface ModelHistory {
  segment: Pick<
    SegmentHistory['segment'],
    | 'id'
    | 'facilityId'
    | 'district'
    | 'jointType'
    | 'slabLengthM'
    | 'baseType'
    | 'coarseAggregate'
    | 'widthMm'
    | 'sealedLengthM'
    | 'fuelExposure'
    | 'consequenceWeight'
    | 'unsealedByPolicy'
    | 'leftAloneReason'
    | 'lon'
    | 'lat'
  >;
  facility: Facility;
  seals: Pick<
    Seal,
    | 'id'
    | 'sealantClass'
    | 'installedFrom'
    | 'installedTo'
    | 'widthMm'
    | 'preparation'
    | 'lot'
    | 'removedOn'
    | 'removalReason'
  >[];
  inspections: Pick<Inspection, 'inspectedOn' | 'method' | 'inspector' | 'damagedShare'>[];
}

/** What is known of a segment's seal in place, written with its forecast so that filters need no join to history. */
export interface SegmentState {
  segmentId: string;
  sealId: string | null;
  sealantClass: SegmentRow['sealantClass'];
  installedFrom: string | null;
  installedTo: string | null;
  ageYears: number | null;
  lastInspectedOn: string | null;
  damagedShare: number | null;
  forecast: Forecast | null;
}

/** A state to be written. */
export interface NewState extends Omit<SegmentState, 'forecast'> {
  forecast: (Omit<Forecast, 'failedByYearEnd'> & { failedByYearEnd: ArrayLike<number> }) | null;
  /** Chance of having failed by now under a few draws that all segments share, as bytes; not read back. */
  failedNowDraws?: Uint8Array | null;
}

/** What a wish about one segment is checked against. */
export interface SegmentFacts {
  id: string;
  facilityId: string;
  district: string;
  jointType: JointType;
  fuelExposure: boolean;
  /** Of the seal in place; null: none. */ sealantClass: SealantClass | null;
  /** Has a seal in place, and is neither unsealed by policy nor left alone on purpose. */ resealable: boolean;
}

/** A Web Mercator box in degrees: [west, south, east, north]. */
export type BoxDegrees = readonly [number, number, number, number];

export interface TileSegment {
  /** Small integer, stable while the segment exists: the feature id in tiles. */ rowId: number;
  id: string;
  facilityId: string;
  facilityKind: string;
  jointType: string;
  direction: string | null;
  sealedLengthM: number;
  sealantClass: string | null;
  damagedShare: number | null;
  unsealedByPolicy: boolean;
  dueYear: number | null;
  planningYear: number | null;
  /** One number per year end, 0-1; null before the first forecast. */ failedByYearEnd: Float32Array | null;
  /** Share of the length worked on in each year of the program asked for, 0 or 1; null: no program. */
  workByYear: Float32Array | null;
  geometry: LineGeometry;
}

/** A run: contiguous segments of one facility drawn as one line below zoom 12. Sums are weighted by sealed length. */
export interface TileRun {
  runId: number;
  facilityId: string;
  facilityKind: string;
  segments: number;
  sealedLengthM: number;
  distressedM: number;
  maxDamagedShare: number | null;
  /** Length-weighted mean; null when nothing in it falls due in the horizon. */ dueYear: number | null;
  failedByYearEnd: Float32Array | null;
  /** Share of the length worked on in each year of the program asked for; null: no program. */
  workByYear: Float32Array | null;
  geometry: LineGeometry;
}

/**
 * All that the program keeps. Nothing above this speaks SQL or knows which database is behind it.
 * Methods answer promises so that a server database can stand beside the embedded one.
 */
export interface Store extends ScenarioStore {
  readonly closures: ClosureStore;
  close(): Promise<void>;
  /** Throws when the file is damaged. */ checkIntegrity(): Promise<void>;
  /** Grows by one with each committed change of records. */ dataVersion(): Promise<number>;
  /** Changes when any list, total or tile may: data, forecast or failure threshold. A key for caches; safe in a URL. */
  viewVersion(): Promise<string>;
  /** Version of the model in use, the newest unless an older one was adopted; null before the first forecast. */
  modelVersion(): Promise<number | null>;

  readSettings(): Promise<Settings>;
  writeSettings(settings: Settings): Promise<void>;
  readUnitCosts(): Promise<UnitCost[]>;
  replaceUnitCosts(costs: readonly UnitCost[]): Promise<void>;

  beginLoad(): Promise<LoadTransaction>;
  countRecords(): Promise<Record<RecordKind, number>>;
  /** Keys of that kind already stored: what a loaded row may refer to. */
  readKeys(kind: 'facilities' | 'segments' | 'stations'): Promise<Set<string>>;
  /** District of each stored facility: the default for its segments. */ readFacilityDistricts(): Promise<
    Map<string, string>
  >;
  /** Installation range and removal of stored seals by segment, to check dates across files. */
  readSealDates(): Promise<
    Map<string, { id: string; installedFrom: string; installedTo: string; removedOn: string | null }[]>
  >;

  listFacilities(): Promise<Facility[]>;
  /** Of those among the ids that are stored. */
  readSegmentFacts(ids: readonly string[]): Promise<Map<string, SegmentFacts>>;
  findSegment(id: string): Promise<(SegmentHistory & { geometry: LineGeometry }) | null>;
  findState(segmentId: string): Promise<SegmentState | null>;
  listSegments(query: {
    filter: Filter;
    sort: SortField;
    descending: boolean;
    limit: number;
    after: string | null;
  }): Promise<SegmentPage>;
  summarise(filter: Filter): Promise<Summary>;
  /** Rows in id order for exports, in batches; geometry only when asked. */
  exportSegments(filter: Filter, withGeometry: boolean): AsyncIterable<(SegmentRow & { geometry?: LineGeometry })[]>;

  /** Histories in segment id order, all of one moment, in batches. */ readHistories(): AsyncIterable<ModelHistory[]>;
  listStations(): Promise<ClimateStation[]>;
  readClimateDays(stationId: string): Promise<ClimateDay[]>;

  /** Replaces model report, budget and all segment states in one transaction. Returns the model version. */
  writeForecast(result: {
    report: unknown;
    draws: Uint8Array;
    budget: unknown;
    states: AsyncIterable<NewState[]> | Iterable<NewState[]>;
  }): Promise<number>;
  /**
   * Replaces budget and all segment states, made again with a stored model, which becomes the current one. Without
   * `version` that is the model in use. `forecastFrom`: day on which the forecast starts, noted in the model's report;
   * `settings`: written in the same transaction. Returns the version.
   */
  updateForecast(result: {
    version?: number;
    forecastFrom?: string;
    settings?: Settings;
    budget: unknown;
    states: AsyncIterable<NewState[]> | Iterable<NewState[]>;
  }): Promise<number>;
  /** Reports of all models, newest first. */ listModelReports(): Promise<unknown[]>;
  readModelReport(version?: number): Promise<unknown | null>;
  readModelDraws(version?: number): Promise<Uint8Array | null>;
  readBudget(): Promise<unknown | null>;
  writeBudget(budget: unknown): Promise<void>;
  /** Keeps what was worked out about a model version, in place of an earlier document of that kind and version. */
  saveDocument(kind: string, modelVersion: number, document: unknown): Promise<void>;
  /** The document of that version, or of the newest version that has one; null when there is none. */
  readDocument(kind: string, modelVersion?: number): Promise<unknown | null>;

  /** `scenarioId`: of the program whose work is to be shown; left out: none. */
  segmentsInBox(box: BoxDegrees, filter: Filter, limit: number, scenarioId?: string): Promise<TileSegment[]>;
  /** `zoom` 0-11; `scenarioId` as above. */
  runsInBox(zoom: number, box: BoxDegrees, filter: Filter, scenarioId?: string): Promise<TileRun[]>;
  networkBounds(): Promise<BoxDegrees | null>;

  saveJob(job: Job): Promise<void>;
  findJob(id: string): Promise<Job | null>;
  listJobs(limit: number): Promise<Job[]>;
  saveLoad(load: Load): Promise<void>;
  findLoad(id: string): Promise<Load | null>;
  listLoads(limit: number): Promise<Load[]>;
  /**
   * For the start of the server, and only there: jobs left queued or running become interrupted, loads left previewing
   * or loading become failed. Returns how many.
   */
  recoverInterrupted(): Promise<number>;
}
