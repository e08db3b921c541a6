import { Compile } from 'typebox/compile';
import { ClimateDaySchema, ClimateStationSchema } from '../schemas/climate.ts';
import { FacilitySchema } from '../schemas/facility.ts';
import { InspectionSchema } from '../schemas/inspection.ts';
import { SealSchema } from '../schemas/seal.ts';
import { SegmentSchema } from '../schemas/segment.ts';
import { UnitCostSchema } from '../schemas/unit-cost.ts';
import type { RecordKind } from '../schemas/words.ts';
import type { RecordBatch } from '../store/store.ts';
import { readClimateRow } from './records/climate-row.ts';
import { readFacility } from './records/facility-row.ts';
import { readInspection } from './records/inspection-row.ts';
import type { RowContext } from './records/row-context.ts';
import { readSeal } from './records/seal-row.ts';
import { readSegment } from './records/segment-row.ts';
import { readStation } from './records/station-row.ts';
import { readUnitCost, unitCostKey } from './records/unit-cost-row.ts';
import type { RowReader } from './row-reader.ts';

/** The order in which kinds are read and written: what is referred to first. */
export const KIND_ORDER: readonly RecordKind[] = [
  'stations',
  'facilities',
  'segments',
  'climate',
  'seals',
  'inspections',
  'unit-costs',
];

type RecordOf<K extends RecordKind> = Extract<RecordBatch, { kind: K }>['rows'][number];

/** Accepted records on their way to the store, in batches of one kind. */
export class AcceptedRecords {
  private readonly lists = new Map<RecordKind, unknown[]>();
  private count = 0;

  add<K extends RecordKind>(kind: K, record: RecordOf<K>): void {
    const list = this.lists.get(kind);
    if (list) list.push(record);
    else this.lists.set(kind, [record]);
    this.count++;
  }

  get size(): number {
    return this.count;
  }

  /** What has come together, in the order of kinds; the lists begin anew. */
  take(): RecordBatch[] {
    const batches = KIND_ORDER.flatMap((kind) => {
      const rows = this.lists.get(kind);
      // `add` puts records of a kind into the list of that kind only, which the compiler cannot see through a map.
      return rows && rows.length > 0 ? [{ kind, rows } as RecordBatch] : [];
    });
    this.lists.clear();
    this.count = 0;
    return batches;
  }
}

interface Validator {
  Check(value: unknown): boolean;
  Errors(value: unknown): { instancePath: string; message: string }[];
}
const facilitySchema: Validator = Compile(FacilitySchema);
const segmentSchema: Validator = Compile(SegmentSchema);
const sealSchema: Validator = Compile(SealSchema);
const inspectionSchema: Validator = Compile(InspectionSchema);
const stationSchema: Validator = Compile(ClimateStationSchema);
const daySchema: Validator = Compile(ClimateDaySchema);
const unitCostSchema: Validator = Compile(UnitCostSchema);

/** Last gate: whatever the checks above let through, nothing that is not of the schema gets to the store. */
function passes<R>(row: RowReader, record: R | null, schema: Validator): record is R {
  if (record === null || row.problems.length > 0) return false;
  if (schema.Check(record)) return true;
  for (const { instancePath, message } of schema.Errors(record)) {
    row.refuse(instancePath.replace(/^\//, '') || 'row', 'not as it should be', message);
  }
  return false;
}

/** Reads one row as a record of the kind; adds it to the accepted ones and remembers it, or leaves the row's problems. */
export function checkRow(kind: RecordKind, row: RowReader, context: RowContext, accepted: AcceptedRecords): void {
  const { known } = context;
  const place = { file: context.file, row: row.row };
  switch (kind) {
    case 'facilities': {
      const record = readFacility(row, context);
      if (!passes(row, record, facilitySchema)) return;
      known.remember(kind, record.id, place);
      known.rememberFacility(record.id, record.district);
      accepted.add(kind, record);
      return;
    }
    case 'segments': {
      const record = readSegment(row, context);
      if (!passes(row, record, segmentSchema)) return;
      known.remember(kind, record.id, place);
      accepted.add(kind, record);
      return;
    }
    case 'seals': {
      const record = readSeal(row, context);
      if (!passes(row, record, sealSchema)) return;
      const { id, installedFrom, installedTo, removedOn } = record;
      known.remember(kind, id, place);
      known.rememberSeal(record.segmentId, { id, installedFrom, installedTo, removedOn });
      accepted.add(kind, record);
      return;
    }
    case 'inspections': {
      const record = readInspection(row, context);
      if (!passes(row, record, inspectionSchema)) return;
      known.remember(kind, record.id, place);
      accepted.add(kind, record);
      return;
    }
    case 'stations': {
      const record = readStation(row, context);
      if (!passes(row, record, stationSchema)) return;
      known.rememberStation(record, place);
      accepted.add(kind, record);
      return;
    }
    case 'climate':
      checkClimateRow(row, context, accepted);
      return;
    case 'unit-costs': {
      const record = readUnitCost(row, context);
      if (!passes(row, record, unitCostSchema)) return;
      known.remember(kind, unitCostKey(record), place);
      accepted.add(kind, record);
      return;
    }
    default:
      kind satisfies never;
  }
}

function checkClimateRow(row: RowReader, context: RowContext, accepted: AcceptedRecords): void {
  const record = readClimateRow(row, context);
  if (record?.station && !passes(row, record.station, stationSchema)) return;
  if (record === null || !passes(row, record.day, daySchema)) return;
  if (record.station) {
    context.known.rememberStation(record.station, { file: context.file, row: row.row });
    accepted.add('stations', record.station);
  }
  accepted.add('climate', record.day);
}
