import { describe, expect, test } from 'vitest';
import { seededRandom } from '../../../../analytics/numeric/seeded-normals.ts';
import { byteOfChance } from '../../../../server/forecasting/failed-now-draws.ts';
import { failedNowInterval, NO_DRAWS } from '../../../../server/store/sqlite/failed-now-interval.ts';

/** Columns from chances by row and draw; null: no forecast. */
function columns(lengthM: readonly number[], chances: readonly (readonly number[] | null)[]) {
  const keptDraws = chances.find((each) => each !== null)?.length ?? 0;
  const failedNowDraws = Uint16Array.from(
    chances.flatMap((each) => each?.map(byteOfChance) ?? Array(keptDraws).fill(NO_DRAWS)),
  );
  return { lengthM: Float64Array.from(lengthM), failedNowDraws, keptDraws };
}
const at = (lengthM: number) => {
  const near = expect.closeTo(lengthM, 5);
  return { median: near, lower: near, upper: near };
};
const all = (count: number) => new Uint8Array(count).fill(1);

describe('the interval of the length failed by now', () => {
  test('of many like segments known exactly is the normal one', () => {
    // 400 segments of 50 m, each failed with chance 0.3: mean 6,000 m, SD 50 sqrt(400 x 0.21) = 458 m.
    const data = columns(Array(400).fill(50), Array(400).fill(Array(20).fill(0.3)));
    const interval = failedNowInterval(data, all(400), 6000);
    expect(interval?.median).toBeCloseTo(6000, 0);
    expect(Math.abs((interval?.lower ?? 0) - (6000 - 1.2816 * 458.3))).toBeLessThan(3);
    expect(Math.abs((interval?.upper ?? 0) - (6000 + 1.2816 * 458.3))).toBeLessThan(3);
  });

  test('of segments that share their parameters does not shrink with their number', () => {
    const { normal } = seededRandom(3);
    const chance = Array.from({ length: 20 }, () => Math.min(0.9, Math.max(0.1, 0.5 + 0.1 * normal())));
    const count = 20_000;
    const expected = (chance.reduce((sum, p) => sum + p, 0) / 20) * count * 10;
    const interval = failedNowInterval(columns(Array(count).fill(10), Array(count).fill(chance)), all(count), expected);
    const sorted = chance.map((p) => p * count * 10).toSorted((a, b) => a - b);
    expect(interval?.lower).toBeGreaterThan(sorted[0]);
    expect(interval?.lower).toBeLessThan(sorted[4]);
    expect(interval?.upper).toBeGreaterThan(sorted[15]);
  });

  test('counts only what the filter keeps and what has a forecast', () => {
    const data = columns([100, 200, 400], [Array(20).fill(1), Array(20).fill(0), null]);
    expect(failedNowInterval(data, Uint8Array.of(1, 1, 1), 100)).toEqual(at(100));
    expect(failedNowInterval(data, Uint8Array.of(0, 1, 1), 0)).toEqual(at(0));
    expect(failedNowInterval(data, Uint8Array.of(0, 0, 1), 0)).toBeNull();
  });

  test('a chance survives as a byte to 0.4 %, certainty exactly', () => {
    for (let chance = 0; chance <= 1; chance += 0.0037) {
      const back = Math.sin((Math.PI * byteOfChance(chance)) / 510) ** 2;
      expect(Math.abs(back - chance)).toBeLessThan(0.004);
    }
    expect([byteOfChance(0), byteOfChance(1)]).toEqual([0, 255]);
  });
});
