import { beforeAll, describe, expect, test } from 'vitest';
import { type DemoScore, demoScore, medianOf } from './demo-score.ts';

/** Two demos of 2,000 segments: with about 1,200 judged in each, one alone leaves a coverage uncertain by 1.2 points. */
const scores: DemoScore[] = [];
const total = (pick: (score: DemoScore) => number): number => scores.reduce((sum, score) => sum + pick(score), 0);

beforeAll(async () => {
  for (const seed of [20_260_701, 7]) scores.push(await demoScore(2000, seed));
}, 300_000);

describe('on the demo, whose true lives are known, for seals in place with damage on record', () => {
  test('the median error of remaining life is at least 15 % below that of soundness and failure alone', () => {
    expect(total((score) => score.segments)).toBeGreaterThan(2000);
    const plain = medianOf(scores.flatMap((score) => score.plainErrors));
    const condition = medianOf(scores.flatMap((score) => score.conditionErrors));
    expect(condition).toBeLessThan(0.85 * plain);
    // Found: 0.6 years against 3.9. The readings alone place log life within about 0.2 / 2.2 / sqrt(readings).
    expect(condition).toBeLessThan(0.8);
  });

  test('77 to 83 of 100 true lives end within their 80 % intervals', () => {
    const share = total((score) => score.conditionCovered) / total((score) => score.segments);
    expect(share).toBeGreaterThan(0.77);
    expect(share).toBeLessThan(0.83);
  });

  test('growth and noise of the readings come back: share = 10 % (age / life)^2.2, read with a log error of 0.2', () => {
    for (const { exponent, readingSd } of scores) {
      expect(Math.abs(exponent - 2.2)).toBeLessThan(0.03);
      expect(Math.abs(readingSd - 0.2)).toBeLessThan(0.01);
    }
  });
});
