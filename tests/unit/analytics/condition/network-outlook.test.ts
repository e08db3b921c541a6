import { expect, test } from 'vitest';
import { lifeForecasts } from '../../../../analytics/condition/life-model.ts';
import { networkOutlook } from '../../../../analytics/condition/network-outlook.ts';
import { DRAWS, OUTLOOK_OPTIONS, outlookInput, someDraws } from './known-segments.ts';

const COUNT = 2600;
const input = outlookInput(COUNT);
const { growth, reading, ...draws } = someDraws();
const model = { family: 'weibull', draws, condition: { growth, reading } } as const;
const outlook = networkOutlook(input, model, OUTLOOK_OPTIONS);

test('forecasts are those made segment by segment, planned or not', () => {
  const { forecasts } = lifeForecasts(input, model, OUTLOOK_OPTIONS);
  expect(outlook.forecasts).toEqual(forecasts());
});

test('chances of having failed by now average to the forecast, years that differ in them', () => {
  const all = Int32Array.from({ length: DRAWS }, (_, d) => d);
  const average = { ...OUTLOOK_OPTIONS, keptDraws: all, keptShocks: null };
  const { nowChances } = networkOutlook(outlookInput(20), model, average);
  for (let i = 0; i < 20; i++) {
    const mean = nowChances.subarray(i * DRAWS, (i + 1) * DRAWS).reduce((sum, chance) => sum + chance / DRAWS, 0);
    expect(Math.abs(mean - outlook.forecasts.failedNow[i])).toBeLessThan(1e-6);
  }
  const kept = OUTLOOK_OPTIONS.keptDraws.length;
  const inYears = outlook.nowChances.subarray(0, kept);
  expect([...inYears]).not.toEqual([...OUTLOOK_OPTIONS.keptDraws].map((d) => nowChances[d]));
  // The fifth is known to have failed.
  expect([...outlook.nowChances.subarray(4 * kept, 5 * kept)]).toEqual([1, 1, 1]);
});

test('what falls due is that of planned segments alone, over groups of any size', () => {
  const planned = [...input.lengthM].filter((_, i) => i % 7 !== 0).reduce((sum, length) => sum + length, 0);
  const everything = networkOutlook({ ...input, planned: new Uint8Array(COUNT).fill(1) }, model, OUTLOOK_OPTIONS);
  const share = outlook.due.overall.lengthM.median / everything.due.overall.lengthM.median;
  const whole = input.lengthM.reduce((sum, length) => sum + length, 0);
  expect(Math.abs(share / (planned / whole) - 1)).toBeLessThan(0.02);
  expect(outlook.due.rows).toHaveLength(6 * 21);
});

test('progress is told between calls, to the end, and may end the work', () => {
  const told: number[] = [];
  networkOutlook(outlookInput(20_000), { ...model, draws, condition: null }, OUTLOOK_OPTIONS, {
    onProgress: (share) => told.push(share),
  });
  expect(told.length).toBeGreaterThan(1);
  expect(told.at(-1)).toBe(1);
  expect(told).toEqual([...told].sort((a, b) => a - b));
  const stop = () => {
    throw new Error('stopped');
  };
  expect(() => networkOutlook(input, model, OUTLOOK_OPTIONS, { onProgress: stop })).toThrow('stopped');
});
