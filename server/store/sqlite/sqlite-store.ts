import type { Filter } from '../../schemas/filter.ts';
import type { SegmentPage, Summary } from '../../schemas/forecast.ts';
import type { Job } from '../../schemas/job.ts';
import type { Load } from '../../schemas/load.ts';
import type { ScenarioEdit } from '../../schemas/scenario.ts';
import type { Settings } from '../../schemas/settings.ts';
import type { UnitCost } from '../../schemas/unit-cost.ts';
import type { RecordKind } from '../../schemas/words.ts';
import { StoreError } from '../errors.ts';
import type {
  NewProgram,
  ScenarioChange,
  StoredScenario,
  StoredWork,
  StoredWorkPage,
  WorkQuery,
} from '../scenario-store.ts';
import type { BoxDegrees, LoadTransaction, Store, TileRun, TileSegment } from '../store.ts';
import { closureStore } from './closure-store.ts';
import { Connection } from './connection.ts';
import { readDocument, saveDocument } from './documents.ts';
import { type Figures, readFigures } from './figures.ts';
import { keepsAll } from './filter-sql.ts';
import * as forecasts from './forecasts.ts';
import * as histories from './histories.ts';
import type { Open } from './history-texts.ts';
import * as jobs from './jobs.ts';
import * as keys from './keys.ts';
import { SqliteLoad } from './load.ts';
import { readMeta, readModelVersion } from './meta.ts';
import { readHistories } from './model-histories.ts';
import { type NetworkColumns, readNetworkColumns } from './network-columns.ts';
import * as programs from './programs.ts';
import { refreshRunSums } from './runs/rebuild-runs.ts';
import * as scenarios from './scenarios.ts';
import { readSegmentFacts } from './segment-facts.ts';
import { countSegments, exportSegments, type ListQuery, listSegments } from './segment-list.ts';
import { readSettings, readUnitCosts, replaceUnitCosts, writeSettings } from './settings.ts';
import { summarise } from './summary.ts';
import { keptRows, type RunFilter, runsInBox, segmentsInBox } from './tile-queries.ts';
import { VersionedCache } from './versioned-cache.ts';
import { countWorks, listWorks, readWorks } from './work-list.ts';
import { readWorkYears, type WorkYears } from './work-years.ts';
import { untilFree, WriteQueue } from './write-queue.ts';

interface StoreSetup {
  today: () => string;
  busyLimitMs: number;
  closed: () => void;
}

/** The embedded store. Reads are short snapshots; writes stand in a queue; loads and forecasts have own connections. */
export class SqliteStore implements Store {
  readonly closures: Store['closures'];
  readonly #connection: Connection;
  readonly #setup: StoreSetup;
  readonly #writes: WriteQueue;
  readonly #open: Open = new Set();
  readonly #counts = new VersionedCache<number>(200);
  readonly #summaries = new VersionedCache<Summary>(50);
  readonly #columns = new VersionedCache<NetworkColumns>(1);
  readonly #figures = new VersionedCache<Figures>(1);
  readonly #kept = new VersionedCache<Uint8Array>(20);
  /** By number of the program: it never changes. */ readonly #workCounts = new VersionedCache<number>(200);
  readonly #years = new VersionedCache<WorkYears>(6);

  constructor(connection: Connection, setup: StoreSetup) {
    this.#connection = connection;
    this.#setup = setup;
    this.#writes = new WriteQueue(setup.busyLimitMs);
    this.closures = closureStore(connection, (write) => this.#write(write));
  }

  /** Waits for writes in the queue; a load that is still open is rolled back. */
  async close(): Promise<void> {
    for (const each of this.#open) each.close();
    this.#open.clear();
    await this.#writes.settled();
    this.#connection.close();
    this.#setup.closed();
  }

  async checkIntegrity(): Promise<void> {
    const found = this.#connection.db.pragma('integrity_check', { simple: true });
    const orphans = this.#connection.db.pragma('foreign_key_check') as unknown[];
    if (found === 'ok' && orphans.length === 0) return;
    const what = found === 'ok' ? `${orphans.length} records without the one they belong to` : String(found);
    throw new StoreError('damaged', `${this.#connection.path} is damaged (${what}). Put back a copy.`);
  }

  async dataVersion(): Promise<number> {
    return readMeta(this.#connection, 'dataVersion');
  }

  async viewVersion(): Promise<string> {
    return this.#version();
  }

  async modelVersion(): Promise<number | null> {
    return readModelVersion(this.#connection) || null;
  }

  async readSettings(): Promise<Settings> {
    return readSettings(this.#connection);
  }

  writeSettings(settings: Settings): Promise<void> {
    return this.#write((connection) => {
      const before = readSettings(connection).failureThresholdShare;
      const thresholdShare = settings.failureThresholdShare;
      writeSettings(connection, settings);
      if (before !== thresholdShare) refreshRunSums(connection, { thresholdShare, facilities: null });
    });
  }

  async readUnitCosts(): Promise<UnitCost[]> {
    return readUnitCosts(this.#connection);
  }

  replaceUnitCosts(costs: readonly UnitCost[]): Promise<void> {
    return this.#write((connection) => replaceUnitCosts(connection, costs));
  }

  async beginLoad(): Promise<LoadTransaction> {
    const connection = await this.#beginApart();
    return new SqliteLoad(connection, this.#setup.today(), () => this.#open.delete(connection));
  }

  async countRecords(): Promise<Record<RecordKind, number>> {
    return keys.countRecords(this.#connection);
  }

  async readKeys(kind: 'facilities' | 'segments' | 'stations'): Promise<Set<string>> {
    return keys.readKeys(this.#connection, kind);
  }

  async readFacilityDistricts(): Promise<Map<string, string>> {
    return keys.readFacilityDistricts(this.#connection);
  }

  async readSealDates(): ReturnType<Store['readSealDates']> {
    return keys.readSealDates(this.#connection);
  }

  async listFacilities(): ReturnType<Store['listFacilities']> {
    return histories.listFacilities(this.#connection);
  }

  async readSegmentFacts(ids: readonly string[]): ReturnType<Store['readSegmentFacts']> {
    return readSegmentFacts(this.#connection, ids);
  }

  async findSegment(id: string): ReturnType<Store['findSegment']> {
    return histories.findSegment(this.#connection, id);
  }

  async findState(segmentId: string): ReturnType<Store['findState']> {
    return forecasts.findState(this.#connection, segmentId);
  }

  async listSegments(query: ListQuery): Promise<SegmentPage> {
    return this.#connection.snapshot(() => {
      const count = this.#counts.get(this.#version(), JSON.stringify(query.filter), () =>
        countSegments(this.#connection, query.filter),
      );
      return listSegments(this.#connection, query, count);
    });
  }

  async summarise(filter: Filter): Promise<Summary> {
    return this.#connection.snapshot(() =>
      this.#summaries.get(this.#version(), JSON.stringify(filter), () => {
        const columns = this.#columns.get(this.#version(), '', () => readNetworkColumns(this.#connection));
        const { failureThresholdShare: thresholdShare } = readSettings(this.#connection);
        const rows = columns.lengthM.length;
        const keptBy = (wanted: Filter) => this.#keptRows(wanted, rows);
        const dataVersion = readMeta(this.#connection, 'dataVersion');
        return { ...summarise(filter, { columns, keptBy, thresholdShare }), dataVersion };
      }),
    );
  }

  exportSegments(filter: Filter, withGeometry: boolean): ReturnType<Store['exportSegments']> {
    return exportSegments(this.#connection, filter, withGeometry);
  }

  readHistories(): ReturnType<Store['readHistories']> {
    return readHistories(this.#connection, this.#open);
  }

  async listStations(): ReturnType<Store['listStations']> {
    return histories.listStations(this.#connection);
  }

  async readClimateDays(stationId: string): ReturnType<Store['readClimateDays']> {
    return histories.readClimateDays(this.#connection, stationId);
  }

  writeForecast(result: Parameters<Store['writeForecast']>[0]): Promise<number> {
    return this.#writeApart((connection) => forecasts.writeForecast(connection, result));
  }

  updateForecast(result: Parameters<Store['updateForecast']>[0]): Promise<number> {
    return this.#writeApart((connection) => forecasts.updateForecast(connection, result));
  }

  async readModelReport(version?: number): Promise<unknown | null> {
    return forecasts.readModelReport(this.#connection, version);
  }

  async listModelReports(): Promise<unknown[]> {
    return forecasts.listModelReports(this.#connection);
  }

  async readModelDraws(version?: number): Promise<Uint8Array | null> {
    return forecasts.readModelDraws(this.#connection, version);
  }

  async readBudget(): Promise<unknown | null> {
    return forecasts.readBudget(this.#connection);
  }

  writeBudget(budget: unknown): Promise<void> {
    return this.#write((connection) => forecasts.writeBudget(connection, budget));
  }

  saveDocument(kind: string, modelVersion: number, document: unknown): Promise<void> {
    return this.#write((connection) => saveDocument(connection, kind, modelVersion, document));
  }

  async readDocument(kind: string, modelVersion?: number): Promise<unknown | null> {
    return readDocument(this.#connection, kind, modelVersion);
  }

  async segmentsInBox(box: BoxDegrees, filter: Filter, limit: number, scenarioId?: string): Promise<TileSegment[]> {
    return this.#connection.snapshot(() =>
      segmentsInBox(this.#connection, { box, filter, limit, workYears: this.#workYears(scenarioId) }),
    );
  }

  async runsInBox(zoom: number, box: BoxDegrees, filter: Filter, scenarioId?: string): Promise<TileRun[]> {
    return this.#connection.snapshot(() => {
      const runFilter = keepsAll(filter) ? null : this.#runFilter(filter);
      return runsInBox(this.#connection, { zoom, box, runFilter, workYears: this.#workYears(scenarioId) });
    });
  }

  async networkBounds(): Promise<BoxDegrees | null> {
    return keys.networkBounds(this.#connection);
  }

  saveJob(job: Job): Promise<void> {
    return this.#write((connection) => jobs.saveJob(connection, job));
  }

  async findJob(id: string): Promise<Job | null> {
    return jobs.findJob(this.#connection, id);
  }

  async listJobs(limit: number): Promise<Job[]> {
    return jobs.listJobs(this.#connection, limit);
  }

  saveLoad(load: Load): Promise<void> {
    return this.#write((connection) => jobs.saveLoad(connection, load));
  }

  async findLoad(id: string): Promise<Load | null> {
    return jobs.findLoad(this.#connection, id);
  }

  async listLoads(limit: number): Promise<Load[]> {
    return jobs.listLoads(this.#connection, limit);
  }

  async listScenarios(): Promise<StoredScenario[]> {
    return scenarios.listScenarios(this.#connection);
  }

  async findScenario(id: string): Promise<StoredScenario | null> {
    return scenarios.findScenario(this.#connection, id);
  }

  addScenario(scenario: Parameters<Store['addScenario']>[0]): Promise<StoredScenario> {
    return this.#write((connection) => scenarios.addScenario(connection, scenario));
  }

  changeScenario(id: string, revision: number | null, edit: ScenarioEdit, changedAt: string): Promise<ScenarioChange> {
    return this.#write((connection) => scenarios.changeScenario(connection, id, { revision, edit, changedAt }));
  }

  removeScenario(id: string, revision: number | null): Promise<ScenarioChange> {
    return this.#write((connection) => scenarios.removeScenario(connection, id, revision));
  }

  writeProgram(scenarioId: string, program: NewProgram): Promise<void> {
    return this.#writeApart((connection) => programs.writeProgram(connection, scenarioId, program));
  }

  async readProgram(scenarioId: string): ReturnType<Store['readProgram']> {
    return programs.readProgram(this.#connection, scenarioId);
  }

  async readProgramDraws(scenarioId: string): Promise<Uint8Array | null> {
    return programs.readProgramDraws(this.#connection, scenarioId);
  }

  async findFreeProgram(freeKey: string): Promise<string | null> {
    return programs.findFreeProgram(this.#connection, freeKey);
  }

  async programVersion(scenarioId: string): Promise<number | null> {
    return programs.programNumber(this.#connection, scenarioId);
  }

  async listWorks(scenarioId: string, query: WorkQuery): Promise<StoredWorkPage> {
    return this.#connection.snapshot(() => {
      const number = programs.programNumber(this.#connection, scenarioId);
      if (number === null) return { items: [], numberMatched: 0, next: null };
      const count = this.#workCounts.get('', `${number} ${JSON.stringify(query.filter)}`, () =>
        countWorks(this.#connection, number, query.filter),
      );
      return listWorks(this.#connection, number, query, count);
    });
  }

  async *readWorks(scenarioId: string, order: 'segment' | 'year'): AsyncGenerator<StoredWork[]> {
    const number = programs.programNumber(this.#connection, scenarioId);
    if (number !== null) yield* readWorks(this.#connection, number, order);
  }

  recoverInterrupted(): Promise<number> {
    return this.#write((connection) => jobs.recoverInterrupted(connection, new Date().toISOString()));
  }

  /** Work that waits for its input: on a connection of its own, so that no other write joins its transaction. */
  async #writeApart<T>(write: (connection: Connection) => Promise<T>): Promise<T> {
    const connection = await this.#beginApart();
    try {
      const written = await write(connection);
      connection.db.exec('COMMIT');
      connection.db.pragma('optimize');
      return written;
    } finally {
      // Closing rolls back what was not committed.
      this.#open.delete(connection);
      connection.close();
    }
  }

  /** Data, model, forecast and failure threshold: all that a list, a total or a tile depends on. */
  #version(): string {
    const data = readMeta(this.#connection, 'dataVersion');
    const forecast = readMeta(this.#connection, 'forecastVersion');
    const { failureThresholdShare } = readSettings(this.#connection);
    return `d${data}m${readModelVersion(this.#connection)}f${forecast}t${failureThresholdShare}`;
  }

  /** One entry a row number: 1 for the segments that the filter keeps. */
  #keptRows(filter: Filter, rows: number): Uint8Array {
    return this.#kept.get(this.#version(), JSON.stringify(filter), () => keptRows(this.#connection, filter, rows));
  }

  #runFilter(filter: Filter): RunFilter {
    const figures = this.#figures.get(this.#version(), '', () => readFigures(this.#connection, null));
    const { failureThresholdShare: thresholdShare } = readSettings(this.#connection);
    return { figures, kept: this.#keptRows(filter, figures.lengthM.length), thresholdShare };
  }

  /** Where the program to show has work; null: none is asked for, or there is none. */
  #workYears(scenarioId: string | undefined): WorkYears | null {
    const number = scenarioId === undefined ? null : programs.programNumber(this.#connection, scenarioId);
    if (number === null) return null;
    return this.#years.get(this.#version(), String(number), () => readWorkYears(this.#connection, number));
  }

  #write<T>(write: (connection: Connection) => T): Promise<T> {
    return this.#writes.add(() => this.#connection.transact(() => write(this.#connection)));
  }

  /** A second connection with a write transaction begun, so that this store goes on reading what was there before. */
  async #beginApart(): Promise<Connection> {
    const connection = new Connection(this.#connection.path);
    this.#open.add(connection);
    try {
      connection.configure({ cacheMb: 128 });
      connection.waitBriefly();
      await untilFree(() => connection.db.exec('BEGIN IMMEDIATE'), this.#setup.busyLimitMs);
      return connection;
    } catch (error) {
      this.#open.delete(connection);
      connection.close();
      throw error;
    }
  }
}
