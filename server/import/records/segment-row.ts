import type { LineGeometry, Segment } from '../../schemas/segment.ts';
import type { Aggregate, BaseType, Direction, JointType } from '../../schemas/words.ts';
import { checkGeometry } from '../geometry-check.ts';
import type { RowReader } from '../row-reader.ts';
import { type RowContext, refuseRepeated, requiredKey, unknownHint } from './row-context.ts';

/** A longitudinal joint runs along its line; lengths may differ by this factor before a note asks. */
const LENGTH_FACTOR = 2;
/** No segment's line is this many times as long as its joints together. */
const LINE_TO_SEALED = 20;

/**
 * A row of a segments file. Left out, these are taken as: district that of the facility, base and aggregate unknown,
 * fuel exposure and unsealed no, direction and lanes not told, consequence weight 1, sealed length of a longitudinal joint that of its line.
 */
export function readSegment(row: RowReader, context: RowContext): Segment | null {
  const id = requiredKey(row, 'id');
  const facilityId = knownFacility(row, context);
  const jointType = row.required('jointType', row.word<JointType>('jointType'), 'a type of joint');
  const measures = {
    ...readLanes(row),
    beginM: row.number('beginM'),
    endM: row.number('endM'),
    slabLengthM: row.number('slabLengthM'),
    slabThicknessMm: row.number('slabThicknessMm'),
    baseType: row.word<BaseType>('baseType') ?? 'unknown',
    coarseAggregate: row.word<Aggregate>('coarseAggregate') ?? 'unknown',
    widthMm: row.number('widthMm'),
    widthAtC: row.number('widthAtC'),
    reservoirDepthMm: row.number('reservoirDepthMm'),
    jointCount: row.number('jointCount'),
    fuelExposure: row.flag('fuelExposure') ?? false,
    consequenceWeight: row.number('consequenceWeight') ?? 1,
    unsealedByPolicy: row.flag('unsealedByPolicy') ?? false,
    leftAloneReason: row.text('leftAloneReason'),
  };
  const line = readLine(row, context);
  const sealedLengthM = readSealedLength(row, jointType, line?.lengthM ?? null);
  const district = row.text('district') ?? (facilityId === null ? null : context.known.districtOf(facilityId));
  if (id !== null) refuseRepeated(row, context, 'segments', 'id', id);
  if (id === null || facilityId === null || jointType === null) return null;
  if (line === null || sealedLengthM === null || district === null) return null;
  noteOddities(row, { ...measures, jointType, sealedLengthM, lineM: line.lengthM });
  const { geometry } = line;
  const source = { sourceFile: context.file, sourceRow: row.row };
  return { id, facilityId, district, jointType, ...measures, sealedLengthM, geometry, ...source };
}

/** A lane by itself is first and last; a last lane without a first says nothing. */
function readLanes(row: RowReader): Pick<Segment, 'direction' | 'firstLane' | 'lastLane'> {
  const direction = row.word<Direction>('direction');
  const [firstLane, lastLane] = [row.number('firstLane'), row.number('lastLane')];
  const lone = firstLane === null && lastLane !== null && row.raw('firstLane') === null;
  if (lone) row.refuse('firstLane', null, 'the first of the lanes', 'lastLane is given, so firstLane must be');
  if (firstLane !== null && lastLane !== null && lastLane < firstLane)
    row.refuse('lastLane', String(lastLane), `${firstLane} (firstLane) or more`, 'Are the two the wrong way round?');
  return { direction, firstLane, lastLane: lastLane ?? (row.raw('lastLane') === null ? firstLane : null) };
}

function knownFacility(row: RowReader, { known }: RowContext): string | null {
  const id = requiredKey(row, 'facilityId');
  const has = (key: string) => known.districtOf(key) !== null;
  if (id === null || has(id)) return id;
  return row.refuse('facilityId', id, 'the id of a facility', unknownHint(id, 'facilities', has));
}

function readLine(row: RowReader, context: RowContext): { geometry: LineGeometry; lengthM: number } | null {
  const result = checkGeometry(row.raw('geometry'), context.geometryRules);
  if (!result.ok) {
    row.problems.push(result.problem);
    return null;
  }
  if (result.droppedMeasure) row.note('Positions have more than three numbers; those after the height were left out');
  return result;
}

function readSealedLength(row: RowReader, jointType: JointType | null, lineM: number | null): number | null {
  const given = row.number('sealedLengthM');
  if (given !== null || row.raw('sealedLengthM') !== null) return given;
  if (jointType === 'longitudinal' && lineM !== null) {
    row.note('Sealed length of a longitudinal joint was taken from its line');
    return Math.max(0.1, Math.round(lineM * 10) / 10);
  }
  const hint = 'Number of joints times the length of one. Only for longitudinal joints can it be taken from the line.';
  return row.refuse('sealedLengthM', null, 'the length of sealed joint, all joints together, in m', hint);
}

interface Oddities {
  readonly jointType: JointType;
  readonly sealedLengthM: number;
  readonly lineM: number;
  readonly beginM: number | null;
  readonly endM: number | null;
}

/** Things that may be right but are worth a look. */
function noteOddities(row: RowReader, { jointType, sealedLengthM, lineM, beginM, endM }: Oddities): void {
  if (row.problems.length > 0) return;
  const ratio = lineM / sealedLengthM;
  if (jointType === 'longitudinal' && (ratio > LENGTH_FACTOR || ratio < 1 / LENGTH_FACTOR)) {
    row.note('The line of a longitudinal joint is not near its sealed length');
  } else if (ratio > LINE_TO_SEALED) row.note(`The line is over ${LINE_TO_SEALED} times as long as the sealed length`);
  if (beginM !== null && endM !== null && endM < beginM) row.note('The end measure is below the begin measure');
}
