import type { NewState } from '../store.ts';
import type { Connection, Prepared } from './connection.ts';
import { emptyFigures, type Figures } from './figures.ts';
import { blobOfFloats } from './number-blob.ts';
import { CLEAR_FORECAST } from './state-refresh.ts';

const WRITE_STATE = `UPDATE state SET sealId = ?, sealantClass = ?, installedFrom = ?, installedTo = ?, ageYears = ?,
  lastInspectedOn = ?, damagedShare = ?, modelVersion = ?, planningYear = ?, failedNowProbability = ?, knownFailed = ?,
  medianFailureYear = ?, lowerFailureYear = ?, upperFailureYear = ?, dueYear = ?, dueReason = ?, dataShare = ?,
  failedByYearEnd = ?, failedNowDraws = ? WHERE segmentRow = ?`;

/**
 * Writes the forecast of all segments inside an open transaction, and keeps what runs are summed from: to read it back
 * would take a third of the time of writing it.
 */
export class StateWriter {
  readonly #connection: Connection;
  readonly #version: number;
  readonly #write: Prepared;
  readonly #rowOf = new Map<string, number>();
  readonly #written: Uint8Array;
  readonly #figures: Figures;
  /** Figures are those of the table as far as it is written: each segment came once, with as many year ends as others. */
  #kept = true;

  constructor(connection: Connection, version: number) {
    this.#connection = connection;
    this.#version = version;
    this.#write = connection.prepare(WRITE_STATE);
    const sql = 'SELECT row, id, sealedLengthM FROM segment ORDER BY row';
    const lines = connection.lines<[row: number, id: string, lengthM: number]>(sql);
    const rows = 1 + (lines.at(-1)?.[0] ?? 0);
    this.#written = new Uint8Array(rows);
    this.#figures = emptyFigures(rows, 0);
    for (const [row, id, lengthM] of lines) {
      this.#rowOf.set(id, row);
      this.#figures.lengthM[row] = lengthM;
    }
  }

  write(states: readonly NewState[]): void {
    for (const state of states) {
      const row = this.#rowOf.get(state.segmentId);
      if (row === undefined) continue;
      if (this.#written[row] === 1) this.#kept = false;
      this.#written[row] = 1;
      this.#writeOne(state, row);
    }
  }

  /**
   * Forgets the forecast of segments that were not written.
   * @returns figures of all segments; null where they must be read from the table
   */
  finish(): Figures | null {
    const clear = this.#connection.prepare(`UPDATE state SET ${CLEAR_FORECAST} WHERE segmentRow = ?`);
    const left = [...this.#rowOf.values()].filter((row) => this.#written[row] === 0);
    for (const row of left) clear.run(row);
    return this.#kept && left.length === 0 ? this.#figures : null;
  }

  #writeOne(state: NewState, row: number): void {
    const { forecast } = state;
    this.#figures.damagedShare[row] = state.damagedShare ?? Number.NaN;
    this.#figures.dueYear[row] = forecast?.dueYear ?? 0;
    // One by one: lists to be spread would be made for each of a hundred thousand.
    this.#write.run(
      state.sealId,
      state.sealantClass,
      state.installedFrom,
      state.installedTo,
      state.ageYears,
      state.lastInspectedOn,
      state.damagedShare,
      this.#version,
      forecast?.planningYear ?? null,
      forecast?.failedNowProbability ?? null,
      forecast && Number(forecast.knownFailed),
      forecast?.medianFailureYear ?? null,
      forecast?.lowerFailureYear ?? null,
      forecast?.upperFailureYear ?? null,
      forecast?.dueYear ?? null,
      forecast?.dueReason ?? null,
      forecast?.dataShare ?? null,
      forecast && blobOfFloats(this.#keepFailed(forecast.failedByYearEnd, row)),
      state.failedNowDraws ?? null,
      row,
    );
  }

  /** @returns the same numbers */
  #keepFailed(failedByYearEnd: ArrayLike<number>, row: number): ArrayLike<number> {
    const figures = this.#figures;
    const yearEnds = failedByYearEnd.length;
    if (figures.yearEnds === 0) {
      figures.yearEnds = yearEnds;
      figures.failedByYearEnd = new Float32Array(this.#written.length * yearEnds).fill(Number.NaN);
    }
    if (yearEnds !== figures.yearEnds) {
      this.#kept = false;
      return failedByYearEnd;
    }
    const at = row * yearEnds;
    figures.failedByYearEnd.set(failedByYearEnd, at);
    return figures.failedByYearEnd.subarray(at, at + yearEnds);
  }
}
