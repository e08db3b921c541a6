import { describe, expect, test } from 'vitest';
import { keyedSequence, keyedUniform, keyOfName } from '../../../../analytics/numeric/keyed-uniform.ts';

const COUNT = 20_000;
/** The ways in which numbers of one sequence, of many keys, of many streams and of many seeds come next to each other. */
const ways: Record<string, (i: number) => number> = {
  'one sequence': (i) => keyedUniform(keyedSequence(1, 7, 0), i),
  'many keys': (i) => keyedUniform(keyedSequence(1, i, 0), 3),
  'many streams': (i) => keyedUniform(keyedSequence(1, 7, i), 3),
  'many seeds': (i) => keyedUniform(keyedSequence(i, 7, 0), 3),
};

describe.each(Object.entries(ways))('random numbers by key: %s', (_, at) => {
  const values = Float64Array.from({ length: COUNT }, (_, i) => at(i));

  test('are uniform: chi-square over 50 bins within five standard deviations of its mean', () => {
    const bins = new Float64Array(50);
    for (const value of values) bins[Math.floor(50 * value)]++;
    const chi = bins.reduce((sum, n) => sum + (n - COUNT / 50) ** 2 / (COUNT / 50), 0);
    expect(Math.abs(chi - 49)).toBeLessThan(5 * Math.sqrt(98));
  });

  test('neighbours are not correlated', () => {
    let sum = 0;
    for (let i = 1; i < COUNT; i++) sum += (values[i] - 0.5) * (values[i - 1] - 0.5);
    // SD of a mean of products of independent uniforms: (1 / 12) / sqrt(n).
    expect(Math.abs(sum / (COUNT - 1))).toBeLessThan((5 * (1 / 12)) / Math.sqrt(COUNT));
  });
});

test('streams of one key are independent of each other', () => {
  let sum = 0;
  for (let i = 0; i < COUNT; i++)
    sum += (keyedUniform(keyedSequence(1, i, 0), 5) - 0.5) * (keyedUniform(keyedSequence(1, i, 1), 5) - 0.5);
  expect(Math.abs(sum / COUNT)).toBeLessThan((5 * (1 / 12)) / Math.sqrt(COUNT));
});

test('names get the published FNV-1a values', () => {
  // Test vectors of the FNV reference pages: "" 811c9dc5, "a" e40c292c, "foobar" bf9cf968 (from memory).
  expect(['', 'a', 'foobar'].map((name) => (keyOfName(name) >>> 0).toString(16))).toEqual([
    '811c9dc5',
    'e40c292c',
    'bf9cf968',
  ]);
});
