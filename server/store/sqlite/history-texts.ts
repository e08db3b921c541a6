import type { Facility } from '../../schemas/facility.ts';
import { Connection } from './connection.ts';
import { listFacilities } from './histories.ts';
import { MODEL_INSPECTION_COLUMNS, MODEL_SEAL_COLUMNS, MODEL_SEGMENT_COLUMNS } from './model-lines.ts';

/*
 * Histories are read by the hundred thousand, and handing over each value by itself took longer than all else. SQLite writes
 * a batch as one JSON text instead: half the time, and numbers come back to the bit.
 */

/** So few that what a batch leaves behind dies young: with 1,000 a whole network takes 80 MB more. */
const HISTORY_BATCH = 100;

/** JSON of the lines of one batch, each list in the order of the segments' ids. */
export interface HistoryText {
  /** Those that no earlier batch has brought. */ readonly facilities: readonly Facility[];
  readonly segments: string;
  readonly seals: string;
  readonly inspections: string;
}

/** What is closed with the store. */
export type Open = Set<{ close(): void }>;

const SEGMENTS = `SELECT max(id), json_group_array(json_array(${MODEL_SEGMENT_COLUMNS}) ORDER BY id)
  FROM (SELECT * FROM segment WHERE id > ? ORDER BY id LIMIT ${HISTORY_BATCH})`;
const OF_THESE = 'WHERE segment.id > ? AND segment.id <= ?';
const SEALS = `SELECT json_group_array(json_array(${MODEL_SEAL_COLUMNS})
    ORDER BY segment.id, seal.installedFrom, seal.installedTo, seal.id)
  FROM segment JOIN seal ON seal.segmentRow = segment.row ${OF_THESE}`;
const INSPECTIONS = `SELECT json_group_array(json_array(${MODEL_INSPECTION_COLUMNS})
    ORDER BY segment.id, inspection.inspectedOn, inspection.id)
  FROM segment JOIN inspection ON inspection.segmentRow = segment.row ${OF_THESE}`;

/** Batches of one moment in segment id order: over a connection of their own, which holds a snapshot until the end. */
export function* historyTexts(path: string, open: Open = new Set()): Generator<HistoryText> {
  const connection = new Connection(path);
  open.add(connection);
  try {
    connection.configure({ cacheMb: 16 });
    connection.db.exec('BEGIN');
    let facilities: Facility[] = listFacilities(connection);
    for (let afterId = ''; ; ) {
      const [[lastId, segments]] = connection.lines<[string | null, string]>(SEGMENTS, afterId);
      if (lastId === null) return;
      const [[seals]] = connection.lines<[string]>(SEALS, afterId, lastId);
      const [[inspections]] = connection.lines<[string]>(INSPECTIONS, afterId, lastId);
      yield { facilities, segments, seals, inspections };
      facilities = [];
      afterId = lastId;
    }
  } finally {
    open.delete(connection);
    connection.close();
  }
}
