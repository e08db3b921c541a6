import fc from 'fast-check';
import { expect, test } from 'vitest';
import { type PartRules, partWords, unitName, whyNotTogether } from '../../../../server/closures/closing-unit.ts';
import { closingWorks } from '../../../../server/closures/closing-work.ts';
import type { PlannedWork } from '../../../../server/closures/planned-work.ts';
import type { Segment } from '../../../../server/schemas/segment.ts';
import { DIRECTIONS, type Direction, JOINT_TYPES } from '../../../../server/schemas/words.ts';
import { sampleWork } from '../store/sample-program.ts';
import { facility, segment } from '../store/sample-records.ts';

const H = facility('H', { name: 'Highway 7' });
const planned = (change: Partial<Segment>, lengthM = 100): PlannedWork => {
  const { geometry, ...record } = segment('S', change);
  return { work: sampleWork('S', { lengthM }), segment: { ...record, lon: 0, lat: 0 }, geometry, facility: H };
};
const BOTH_WAYS = new Map<string, Direction[]>([['H', ['northbound', 'southbound']]]);
const RULES: PartRules = { closeBy: 'lane', directionsTogether: false, lanesTogether: false, acrossByHalves: true };

const rulesDrawn: fc.Arbitrary<PartRules> = fc.record({
  closeBy: fc.constantFrom('facility' as const, 'direction' as const, 'lane' as const),
  ...{ directionsTogether: fc.boolean(), lanesTogether: fc.boolean(), acrossByHalves: fc.boolean() },
});
const segmentDrawn = fc
  .record({
    direction: fc.constantFrom(null, 'northbound' as const, 'southbound' as const, 'both' as const),
    jointType: fc.constantFrom(...JOINT_TYPES),
    lanes: fc.option(fc.tuple(fc.integer({ min: 1, max: 4 }), fc.integer({ min: 0, max: 3 }))),
  })
  .map(({ lanes, ...rest }) => ({
    ...{ ...rest, firstLane: lanes?.[0] ?? null, lastLane: lanes ? lanes[0] + lanes[1] : null },
  }));

test('whatever is recorded, all of a work is done once, in its own direction and in no lane that it does not need', () => {
  fc.assert(
    fc.property(segmentDrawn, rulesDrawn, fc.double({ min: 1, max: 500, noNaN: true }), (record, parts, lengthM) => {
      const works = closingWorks([planned(record, lengthM)], { parts }, BOTH_WAYS);
      let at = 0;
      for (const { fromM, lengthM: part, unit } of works) {
        expect(fromM).toBeCloseTo(at, 9);
        at += part;
        if (parts.closeBy === 'facility') expect([unit.id, unit.direction]).toEqual(['H', null]);
        else if (unit.direction === 'both') expect([null, 'both']).toContain(record.direction);
        else expect([unit.direction, 'both']).toContain(record.direction);
        for (const lane of unit.lanes)
          expect(lane >= (record.firstLane ?? 99) && lane <= (record.lastLane ?? 0)).toBe(true);
      }
      expect(at).toBeCloseTo(lengthM, 9);
    }),
    { seed: 1, numRuns: 300 },
  );
});

const partDrawn = fc.record({
  direction: fc.constantFrom(null, ...DIRECTIONS),
  lanes: fc.uniqueArray(fc.integer({ min: 1, max: 4 }), { maxLength: 3 }),
});

test('two parts exclude one another both ways round, always where a lane or the whole road is common to them', () => {
  fc.assert(
    fc.property(partDrawn, partDrawn, rulesDrawn, (a, b, parts) => {
      const why = whyNotTogether(a, b, parts);
      expect(whyNotTogether(b, a, parts)).toBe(why);
      const whole = [a, b].some(({ direction }) => direction === null || direction === 'both');
      const same = a.direction === b.direction && a.lanes.some((lane) => b.lanes.includes(lane));
      if (whole || same) expect(why).not.toBeNull();
      else if (a.direction !== b.direction) expect(why === null).toBe(parts.directionsTogether);
      else if (a.lanes.length > 0 && b.lanes.length > 0) expect(why === null).toBe(parts.lanesTogether);
    }),
    { seed: 1, numRuns: 500 },
  );
});

test('a centre joint closes the whole road; where only one direction is told, a joint across is not halved', () => {
  const joint = planned({ direction: 'both', jointType: 'longitudinal', firstLane: 1, lastLane: 1 });
  expect(closingWorks([joint], { parts: RULES }, BOTH_WAYS).map(({ unit }) => unitName(unit))).toEqual([
    'Highway 7, both directions',
  ]);
  const across = planned({ direction: 'both', jointType: 'transverse-contraction', firstLane: 1, lastLane: 3 });
  const names = (directions: Direction[]) =>
    closingWorks([across], { parts: RULES }, new Map([['H', directions]])).map(({ unit }) => unitName(unit));
  expect(names(['northbound', 'southbound'])).toEqual([
    'Highway 7, northbound, lanes 1 to 3',
    'Highway 7, southbound, lanes 1 to 3',
  ]);
  expect(names(['northbound'])).toEqual(['Highway 7, both directions']);
  expect(names([])).toEqual(['Highway 7']);
  expect(partWords('increasing', [2])).toBe('with increasing measure, lane 2');
});
