import type { Facility } from '../../schemas/facility.ts';
import type { ModelHistory } from '../store.ts';
import { Connection } from './connection.ts';
import { facilityAt, listFacilities } from './histories.ts';
import {
  MODEL_INSPECTION_COLUMNS,
  MODEL_SEAL_COLUMNS,
  MODEL_SEGMENT_COLUMNS,
  type ModelInspectionLine,
  type ModelSealLine,
  type ModelSegmentLine,
  toModelInspection,
  toModelSeal,
  toModelSegment,
} from './model-lines.ts';

/*
 * Histories are read by the hundred thousand, and handing over each value by itself took longer than all else. SQLite writes
 * a batch as one JSON text instead: half the time, and numbers come back to the bit.
 */

/** So few that what a batch leaves behind dies young: with 1,000 a whole network takes 80 MB more. */
const HISTORY_BATCH = 100;

const SEGMENTS = `SELECT max(id), json_group_array(json_array(${MODEL_SEGMENT_COLUMNS}) ORDER BY id)
  FROM (SELECT * FROM segment WHERE id > ? ORDER BY id LIMIT ${HISTORY_BATCH})`;
const OF_THESE = 'WHERE segment.id > ? AND segment.id <= ?';
const SEALS = `SELECT json_group_array(json_array(${MODEL_SEAL_COLUMNS})
    ORDER BY segment.id, seal.installedFrom, seal.installedTo, seal.id)
  FROM segment JOIN seal ON seal.segmentRow = segment.row ${OF_THESE}`;
const INSPECTIONS = `SELECT json_group_array(json_array(${MODEL_INSPECTION_COLUMNS})
    ORDER BY segment.id, inspection.inspectedOn, inspection.id)
  FROM segment JOIN inspection ON inspection.segmentRow = segment.row ${OF_THESE}`;

/** JSON of lines, each list in the order of the segments' ids. */
interface BatchText {
  readonly segments: string;
  readonly seals: string;
  readonly inspections: string;
}

/**
 * Histories in segment id order, all of one moment: over a connection of their own, which holds a snapshot.
 * @param open connections that are closed with the store
 */
export async function* readHistories(path: string, open: Set<Connection>): AsyncGenerator<ModelHistory[]> {
  const connection = new Connection(path);
  open.add(connection);
  try {
    connection.configure({ cacheMb: 16 });
    connection.db.exec('BEGIN');
    const facilities = new Map(listFacilities(connection).map((facility) => [facility.id, facility]));
    for (const text of batchTexts(connection)) yield historiesOf(text, facilities);
  } finally {
    open.delete(connection);
    connection.close();
  }
}

function historiesOf(text: BatchText, facilities: ReadonlyMap<string, Facility>): ModelHistory[] {
  const lines = linesOf(text);
  const seals = new Group(lines.seals);
  const inspections = new Group(lines.inspections);
  return lines.segments.map((line) => ({
    segment: toModelSegment(line),
    facility: facilityAt(facilities, line[2]),
    seals: seals.takeOf(line[0], toModelSeal),
    inspections: inspections.takeOf(line[0], toModelInspection),
  }));
}

function* batchTexts(connection: Connection): Generator<BatchText> {
  for (let afterId = ''; ; ) {
    const [[lastId, segments]] = connection.lines<[string | null, string]>(SEGMENTS, afterId);
    if (lastId === null) return;
    const [[seals]] = connection.lines<[string]>(SEALS, afterId, lastId);
    const [[inspections]] = connection.lines<[string]>(INSPECTIONS, afterId, lastId);
    yield { segments, seals, inspections };
    afterId = lastId;
  }
}

const linesOf = ({ segments, seals, inspections }: BatchText) => ({
  segments: JSON.parse(segments) as ModelSegmentLine[],
  seals: JSON.parse(seals) as ModelSealLine[],
  inspections: JSON.parse(inspections) as ModelInspectionLine[],
});

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
