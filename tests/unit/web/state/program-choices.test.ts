import { expect, test } from 'vitest';
import {
  type Choice,
  choiceChanges,
  closureGroup,
  firstYears,
  withMove,
  withoutChoices,
} from '../../../../web/state/program-choices.ts';

const kept: Choice[] = [
  { segmentId: 'A', year: 2027, sealantClass: null },
  { segmentId: 'B', year: 2028, sealantClass: 'polysulfide' },
];

test('the newest choice for a segment takes the place of the one before', () => {
  const moved = withMove(kept, { segmentIds: ['B', 'C', 'C'], year: 2030, sealantClass: null });
  expect(moved).toEqual([
    kept[0],
    { segmentId: 'B', year: 2030, sealantClass: null },
    { segmentId: 'C', year: 2030, sealantClass: null },
  ]);
});

test('what changed is told of each segment; the same choice again is no change', () => {
  const made = withoutChoices(withMove(kept, { segmentIds: ['C'], year: null, sealantClass: null }), ['A']);
  expect(choiceChanges(kept, made)).toEqual([
    { segmentId: 'A', before: kept[0], now: null },
    { segmentId: 'C', before: null, now: { segmentId: 'C', year: null, sealantClass: null } },
  ]);
  expect(choiceChanges(kept, withMove(kept, { segmentIds: ['A'], year: 2027, sealantClass: null }))).toEqual([]);
});

test('a closure group is moved by its first reseals; those resealed again in it follow', () => {
  const works = [
    { segmentId: 'A', year: 2026 },
    { segmentId: 'A', year: 2036 },
    { segmentId: 'B', year: 2036 },
  ];
  expect(closureGroup(works, 2036)).toEqual({ movable: ['B'], again: ['A'] });
  expect(closureGroup(works, 2026)).toEqual({ movable: ['A'], again: [] });
  expect([...firstYears([...works].reverse())].sort()).toEqual([
    ['A', 2026],
    ['B', 2036],
  ]);
});
