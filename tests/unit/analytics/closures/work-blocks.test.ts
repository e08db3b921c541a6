import { describe, expect, test } from 'vitest';
import { USUAL_TEAMS } from '../../../../analytics/closures/crew-pace.ts';
import {
  cutIntoPieces,
  oldEnough,
  type ResealJob,
  USUAL_WORK,
  type WorkSettings,
  workBlocks,
} from '../../../../analytics/closures/work-blocks.ts';
import { dayNumber } from '../../../../analytics/survival/observation-dates.ts';

const settings: WorkSettings = {
  ...USUAL_WORK,
  crews: [{ id: 'a', name: 'Crew A', teams: USUAL_TEAMS, families: ['silicone'], paceFactor: 1 }],
  longestShiftMinutes: 360,
};
const job = (segmentId: string, change: Partial<ResealJob> = {}): ResealJob => ({
  segmentId,
  facilityId: 'R1',
  lengthM: 50,
  weightPerM: 1,
  oldClass: 'hot-applied',
  newClass: 'silicone-self-levelling',
  washAfterSawing: true,
  withRod: true,
  fuelExposure: false,
  requiresClosed: [],
  gateId: 'state-40f',
  concretePlacedDay: null,
  ...change,
});

describe('blocks of work', () => {
  test('segments worked alike form one block, in the order given; others form their own', () => {
    const jobs = [job('a'), job('b', { requiresClosed: ['R2'] }), job('c'), job('d', { facilityId: 'T1' })];
    const { blocks } = workBlocks(jobs, settings);
    expect(blocks.map(({ id, pieces }) => [id, pieces.map((piece) => piece.id)])).toEqual([
      ['R1/1', ['a', 'c']],
      ['R1/2', ['b']],
      ['T1/1', ['d']],
    ]);
  });

  test('a long segment is cut into equal parts that add up to it', () => {
    const pieces = cutIntoPieces('s', { lengthM: 250 }, 100);
    expect(pieces.map(({ id }) => id)).toEqual(['s#1', 's#2', 's#3']);
    expect(pieces[2].toM).toBe(250);
    for (const piece of pieces) expect(piece.lengthM).toBeCloseTo(250 / 3, 9);
    expect(cutIntoPieces('s', { lengthM: 100 }, 100)).toHaveLength(1);
    const half = cutIntoPieces('s', { lengthM: 125, fromM: 125 }, 100);
    expect(half.map(({ id, fromM, toM }) => [id, fromM, toM])).toEqual([
      ['s@125.00#1', 125, 187.5],
      ['s@125.00#2', 187.5, 250],
    ]);
  });

  test('a joint that dries too long for a night is opened and sealed in two passes of one closure', () => {
    const [{ passes }] = workBlocks([job('a')], settings).blocks;
    expect(passes.map(({ kind }) => kind)).toEqual(['open', 'seal']);
    expect(passes[1].afterPrevious).toEqual({ leastMinutes: 720, mostMinutes: 1440, sameClosure: true });
    expect(passes[0].openingMinutes).toBe(0);
  });

  test('where joints may stay open the passes may lie in two closures; dried fast they are one pass', () => {
    const open = workBlocks([job('a')], { ...settings, openJoints: 'may-stay-open' }).blocks[0].passes;
    expect(open[1].afterPrevious?.sameClosure).toBe(false);
    const [fast] = workBlocks([job('a')], { ...settings, dryingHours: 1, longestShiftMinutes: 600 }).blocks;
    expect(fast.passes).toMatchObject([{ kind: 'reseal', insideWaitMinutes: 60 }]);
  });

  test('prepared faces are blasted and sealed in one pass, so on the same day', () => {
    for (const block of workBlocks([job('a')], settings).blocks)
      for (const pass of block.passes)
        expect(pass.operations.includes('abrasive-blast')).toBe(pass.operations.includes('seal'));
  });

  test('new concrete waits seven full days: placed on 1 May, sealed from 9 May', () => {
    // common practice: at least 7 full days.
    expect(oldEnough(dayNumber('2027-05-01'))).toBe(dayNumber('2027-05-09') * 1440);
    const placed = job('a', { concretePlacedDay: dayNumber('2027-05-01') });
    expect(workBlocks([placed], settings).blocks[0].earliestMinute).toBe(dayNumber('2027-05-09') * 1440);
  });

  test('fuel, an unknown class and the lack of a machine refuse a segment with the reason; the rest is kept', () => {
    const jobs = [
      job('fuel', { fuelExposure: true }),
      job('hot', { newClass: 'hot-applied-type-4' }),
      job('what', { newClass: 'unknown' }),
      job('good'),
    ];
    const { blocks, refused } = workBlocks(jobs, settings);
    expect(blocks.flatMap(({ pieces }) => pieces.map(({ id }) => id))).toEqual(['good']);
    expect(refused.map(({ segmentId }) => segmentId)).toEqual(['fuel', 'hot', 'what']);
    expect(refused[1].reason).toContain('Crew A has no machine for hot applied sealant');
  });

  test('a length or weight that is not above 0 is an error naming the segment', () => {
    expect(() => workBlocks([job('a', { lengthM: 0 })], settings)).toThrow('lengthM of a is 0; expected above 0');
    expect(() => workBlocks([job('a', { weightPerM: -1 })], settings)).toThrow('weightPerM of a');
  });
});
