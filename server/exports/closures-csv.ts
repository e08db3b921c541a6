import type { Closure, Schedule } from '../schemas/closures.ts';
import { type Cell, csvText } from './csv-text.ts';
import { inLengthUnit, inWidthUnit, lengthUnit, rounded, type Units, widthUnit } from './units.ts';

const LITRES_PER_US_GALLON = 3.785411784;

/** One row for each piece of work, closures in the order of time; a closure without work of its own has one row. */
export function closuresCsv(schedule: Schedule, units: Units): string {
  const [length, width] = [lengthUnit(units), widthUnit(units)];
  const head = [
    ...[
      'closureId',
      'facilityId',
      'facilityName',
      'direction',
      'lanes',
      'district',
      'startsAt',
      'endsAt',
      'opensAt',
      'timeZone',
      'state',
      'locked',
    ],
    ...[
      'reserveStartsAt',
      'reserveEndsAt',
      'weatherChance',
      'finishChance',
      'finishChanceLow',
      'finishChanceHigh',
      `closureLength${length}`,
      'closureCrewHours',
    ],
    ...[units === 'si' ? 'closureSealantL' : 'closureSealantGal', `closureRod${length}`],
    ...[
      'segmentId',
      'segmentDirection',
      'firstLane',
      'lastLane',
      `from${length}`,
      `to${length}`,
      `length${length}`,
      'pass',
      'crewId',
      'sealantClass',
    ],
    ...['sealantClassInPlace', `width${width}`, 'workStartsAt', 'workEndsAt', 'conflicts', 'note'],
  ];
  const rows = schedule.closures.flatMap((closure) => {
    const own = closureCells(closure, schedule.timeZone, units);
    const notes = [closure.conflicts.map(({ sentence }) => sentence).join(' '), closure.note];
    if (closure.works.length === 0) return [[...own, ...Array.from({ length: WORK_CELLS }, () => null), ...notes]];
    return closure.works.map((work) => [...own, ...workCells(work, units), ...notes]);
  });
  return csvText([head, ...rows]);
}

function closureCells(closure: Closure, timeZone: string, units: Units): Cell[] {
  const { reserve, weatherChance, finishChance, finishInterval, sealant, rods } = closure;
  const known = sealant.every(({ litres, metres }) => litres !== null || metres !== null);
  const litres = sealant.reduce((sum, each) => sum + (each.litres ?? 0), 0);
  const chance = (share: number | null) => (share === null ? null : rounded(share, 3));
  return [
    ...[closure.id, closure.facilityId, closure.facilityName, closure.part?.direction ?? null],
    ...[lanesCell(closure.part?.lanes ?? []), closure.district, closure.startsAt, closure.endsAt],
    ...[closure.opensAt, timeZone, closure.state, closure.locked, reserve?.startsAt ?? null, reserve?.endsAt ?? null],
    ...[
      chance(weatherChance),
      chance(finishChance),
      chance(finishInterval?.[0] ?? null),
      chance(finishInterval?.[1] ?? null),
      inLengthUnit(closure.lengthM, units),
      rounded(closure.crewHours, 2),
    ],
    known ? rounded(units === 'si' ? litres : litres / LITRES_PER_US_GALLON, 2) : null,
    inLengthUnit(
      rods.reduce((sum, { metres }) => sum + metres, 0),
      units,
    ),
  ];
}

const WORK_CELLS = 14;
/** Not with a dash, which a spreadsheet takes for a date: "1 2". */
const lanesCell = (lanes: readonly number[]): string | null => (lanes.length === 0 ? null : lanes.join(' '));

const workCells = (work: Closure['works'][number], units: Units): Cell[] => [
  ...[
    work.segmentId,
    work.direction ?? null,
    work.firstLane ?? null,
    work.lastLane ?? null,
    inLengthUnit(work.fromM, units),
    inLengthUnit(work.toM, units),
    inLengthUnit(work.lengthM, units),
  ],
  ...[work.pass, work.crewId, work.sealantClass, work.sealantClassInPlace, inWidthUnit(work.widthMm, units)],
  ...[work.startsAt, work.endsAt],
];
