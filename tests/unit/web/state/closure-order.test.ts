import { expect, test } from 'vitest';
import type { Closure } from '../../../../server/schemas/closures.ts';
import { orderedClosures } from '../../../../web/state/closure-order.ts';
import { sampleClosure } from '../../server/store/sample-closures.ts';

const closure = (uid: string, change: Partial<Closure>) => sampleClosure({ uid, conflicts: [], ...change });
const CLOSURES = [
  closure('a', { startsAt: '2027-05-03T23:00', facilityName: 'Highway 10', finishChance: 0.5 }),
  closure('b', { startsAt: '2027-05-01T23:00', facilityName: 'Highway 9', finishChance: null }),
  closure('c', { startsAt: '2027-05-02T23:00', facilityName: 'Highway 9', state: 'done', finishChance: 0.9 }),
  closure('d', {
    ...{ startsAt: '2027-05-04T23:00', facilityName: 'Highway 9', finishChance: 0.2 },
    conflicts: [{ rule: 'barred', sentence: 'It is barred.' }],
  }),
];
const order = (sort: Parameters<typeof orderedClosures>[1]['sort'], descending = false) =>
  orderedClosures(CLOSURES, { sort, descending })
    .map(({ uid }) => uid)
    .join('');

test('closures are put in the order of time, name, state or chance; what is not told comes last either way', () => {
  expect(order('startsAt')).toBe('bcad');
  expect(order('startsAt', true)).toBe('dacb');
  expect(order('facility')).toBe('bcda'); // 9 before 10
  expect(order('state')).toBe('dbac'); // what breaks a rule first, what is done last
  expect([order('finishChance'), order('finishChance', true)]).toEqual(['dabc', 'adbc']);
});
