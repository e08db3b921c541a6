import { availableParallelism } from 'node:os';
import type { Facility } from '../../schemas/facility.ts';
import type { ModelHistory } from '../store.ts';
import type { Connection } from './connection.ts';
import { facilityAt } from './histories.ts';
import { type HistoryText, historyTexts, type Open } from './history-texts.ts';
import { textsByThread } from './history-thread.ts';
import {
  type ModelInspectionLine,
  type ModelSealLine,
  type ModelSegmentLine,
  toModelInspection,
  toModelSeal,
  toModelSegment,
} from './model-lines.ts';

/** A second thread takes about 100 ms to start: as long as 5,000 segments take to read. */
const MANY_SEGMENTS = 20_000;

/**
 * Histories in segment id order, all of one moment. Those of many segments are read by a second thread, where there is a
 * processor for it, while this one works on the batch before.
 * @param open what is closed with the store
 */
export async function* readHistories(connection: Connection, open: Open): AsyncGenerator<ModelHistory[]> {
  const { path } = connection;
  const byThread = countSegments(connection) >= MANY_SEGMENTS && availableParallelism() >= 2;
  yield* historiesOf(byThread ? textsByThread(path, open) : historyTexts(path, open));
}

const countSegments = (connection: Connection): number =>
  connection.get<{ segments: number }>('SELECT count(*) AS segments FROM segment')?.segments ?? 0;

/** @param texts batches of one moment, in order */
export async function* historiesOf(
  texts: AsyncIterable<HistoryText> | Iterable<HistoryText>,
): AsyncGenerator<ModelHistory[]> {
  const facilities = new Map<string, Facility>();
  for await (const text of texts) {
    for (const facility of text.facilities) facilities.set(facility.id, facility);
    yield batchOf(text, facilities);
  }
}

function batchOf(text: HistoryText, facilities: ReadonlyMap<string, Facility>): ModelHistory[] {
  const seals = new Group(JSON.parse(text.seals) as ModelSealLine[]);
  const inspections = new Group(JSON.parse(text.inspections) as ModelInspectionLine[]);
  return (JSON.parse(text.segments) as ModelSegmentLine[]).map((line) => ({
    segment: toModelSegment(line),
    facility: facilityAt(facilities, line[2]),
    seals: seals.takeOf(line[0], toModelSeal),
    inspections: inspections.takeOf(line[0], toModelInspection),
  }));
}

/** Lines in the order of their segments, handed out segment by segment. */
class Group<L extends [segmentRow: number, ...unknown[]]> {
  readonly #lines: readonly L[];
  #next = 0;

  constructor(lines: readonly L[]) {
    this.#lines = lines;
  }

  takeOf<T>(segmentRow: number, make: (line: L) => T): T[] {
    const taken: T[] = [];
    for (; this.#next < this.#lines.length && this.#lines[this.#next][0] === segmentRow; this.#next++)
      taken.push(make(this.#lines[this.#next]));
    return taken;
  }
}
