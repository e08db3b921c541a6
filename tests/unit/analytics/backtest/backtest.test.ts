import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type BacktestReport, backtest } from '../../../../analytics/backtest/backtest.ts';
import { intervalCredit } from '../../../../analytics/backtest/coverage.ts';
import { compareScores, scoresOf, trialBrier, trialLogScore } from '../../../../analytics/backtest/scores.ts';
import { fixedForecast, meanChances, modelForecast } from '../../../../analytics/backtest/trial-forecast.ts';
import type { Trials } from '../../../../analytics/backtest/trial-table.ts';
import { simulatedModel, simulatedTrials } from './simulated-trials.ts';

const judge = (trials: Trials, times = 1): BacktestReport =>
  backtest(trials, modelForecast('model', trials, [simulatedModel(trials, times)]), [], { seed: 7 });

describe('a forecast that is right', () => {
  const trials = simulatedTrials({ lives: 6000, seed: 11 });
  const report = judge(trials);

  test('is judged good enough to budget with', () => {
    expect(report.verdict.grade).toBe('good');
    expect(report.verdict.sentence).toMatch(/^Good enough to budget with: it expected \d+ % of \d+ later looks/);
  });

  test('is calibrated at every tenth within four standard errors', () => {
    for (const { forecastShare, foundShare, trials: n } of report.model.tenths) {
      const error = Math.sqrt((forecastShare * (1 - forecastShare)) / n);
      expect(Math.abs(foundShare - forecastShare)).toBeLessThan(4 * error);
    }
  });

  test('covers 77 to 83 % of lives with its 80 % intervals', () => {
    // 6,000 lives, credit SD about 0.3: standard error 0.4 points.
    const [all] = report.model.lifeIntervals;
    expect(all.count).toBe(6000);
    expect(all.share).toBeGreaterThan(0.77);
    expect(all.share).toBeLessThan(0.83);
  });

  test('covers 77 to 83 % of the counts and lengths of many cells', () => {
    // 30 networks of 18 cells: standard error of the mean credit about 1.6 points.
    const credits = Array.from(
      { length: 30 },
      (_, k) => judge(simulatedTrials({ lives: 400, seed: 100 + k })).model.cells,
    );
    const mean = (pick: (cells: NonNullable<BacktestReport['model']['cells']>) => number) =>
      credits.reduce((sum, cells) => sum + (cells ? pick(cells) : 0), 0) / credits.length;
    const counts = mean((cells) => cells.counts[0].share);
    const lengths = mean((cells) => cells.lengths?.[0].share ?? 0);
    for (const share of [counts, lengths]) {
      expect(share).toBeGreaterThan(0.77);
      expect(share).toBeLessThan(0.83);
    }
  });
});

describe('a forecast that is wrong', () => {
  test('lives 30 % too long: too few failures foreseen, and the classes are named', () => {
    const { verdict, model } = judge(simulatedTrials({ lives: 4000, seed: 12 }), 1.3);
    expect(verdict.grade).toBe('not-good');
    expect(verdict.sentence).toContain('it foresaw too few failures');
    expect(verdict.places.filter(({ kind }) => kind === 'class').map(({ name }) => name)).toEqual(['long', 'short']);
    expect(model.total?.expected).toBeLessThan(0.75 * (model.total?.found ?? 0));
  });

  test('one class alone: the total may do, that class is named and no district is', () => {
    const trials = simulatedTrials({ lives: 4000, seed: 13, trueTimes: [0.75, 1.07] });
    const { verdict } = judge(trials);
    expect(verdict.grade).not.toBe('good');
    expect(verdict.places.map(({ name }) => name)).toContain('long');
    expect(verdict.places.map(({ kind }) => kind)).not.toContain('district');
  });

  test('coverage of lives falls', () => {
    const [all] = judge(simulatedTrials({ lives: 4000, seed: 12 }), 1.3).model.lifeIntervals;
    expect(all.share).toBeLessThan(0.78);
    expect(all.early).toBeGreaterThan(all.late);
  });
});

describe('thin data', () => {
  test('few trials give no verdict but say how few', () => {
    const { verdict } = judge(simulatedTrials({ lives: 20, seed: 1 }));
    expect(verdict.grade).toBe('thin');
    expect(verdict.sentence).toMatch(/^Too few inspections .*: \d+ looks, \d+ failures\.$/);
  });

  test('no trial at all gives a whole report without a number that is none', () => {
    const one = simulatedTrials({ lives: 1, seed: 1 });
    const trials: Trials = {
      ...one,
      count: 0,
      cutoff: new Int32Array(0),
      life: new Int32Array(0),
      look: new Int32Array(0),
      failed: new Uint8Array(0),
      fromYears: new Float64Array(0),
      lookYears: new Float64Array(0),
      leadYears: new Float64Array(0),
      lengthM: new Float64Array(0),
      facility: new Int32Array(0),
      district: new Int32Array(0),
      sealantClass: new Int32Array(0),
      climateZone: new Int32Array(0),
    };
    const report = backtest(trials, fixedForecast('none', new Float64Array(0)), [], { seed: 1 });
    expect(report.verdict.grade).toBe('thin');
    expect(report.model.scores).toBeNull();
    expect(report.model.cells).toBeNull();
  });
});

describe('scores', () => {
  test('both are smallest in expectation for the true chance', () => {
    const chance = fc.double({ min: 0.001, max: 0.999, noNaN: true });
    fc.assert(
      fc.property(chance, chance, (truth, other) => {
        for (const score of [trialLogScore, trialBrier]) {
          const expected = (p: number) => truth * score(p, 1) + (1 - truth) * score(p, 0);
          expect(expected(truth)).toBeLessThanOrEqual(expected(other) + 1e-12);
        }
      }),
      { seed: 1 },
    );
  });

  test('a certain error costs no more than the floor allows', () => {
    expect(trialLogScore(0, 1)).toBeCloseTo(-Math.log(1e-4), 12);
    expect(trialLogScore(1, 1)).toBeCloseTo(1e-4, 7);
  });

  test('means by hand', () => {
    const trials = { ...simulatedTrials({ lives: 1, seed: 1 }), count: 2, failed: Uint8Array.of(1, 0) };
    const scores = scoresOf(trials, Float64Array.of(0.8, 0.25));
    expect(scores?.logScore).toBeCloseTo(-(Math.log(0.8) + Math.log(0.75)) / 2, 12);
    expect(scores?.brier).toBeCloseTo((0.2 ** 2 + 0.25 ** 2) / 2, 12);
  });

  test('the truth beats a biased forecast, with an interval above 0; blocks of one facility have no interval', () => {
    const trials = simulatedTrials({ lives: 3000, seed: 5 });
    const chances = (times: number) => meanChances(trials, modelForecast('', trials, [simulatedModel(trials, times)]));
    const other = { name: 'biased', chance: chances(1.4) };
    const gain = compareScores(trials, chances(1), other, 1);
    expect(gain?.logScore.lower).toBeGreaterThan(0);
    expect(gain?.logScore.mean).toBeGreaterThan(gain?.logScore.lower ?? 0);
    const together = compareScores({ ...trials, facility: new Int32Array(trials.count) }, chances(1), other, 1);
    expect(together?.logScore.lower).toBeNull();
    expect(together?.logScore.mean).toBe(gain?.logScore.mean);
  });
});

describe('credit of an outcome that is known within bounds', () => {
  test('it is the share of the stretch that lies inside the interval', () => {
    expect(intervalCredit(0.2, 0.5)).toBe(1);
    expect(intervalCredit(0.92, 0.97)).toBe(0);
    expect(intervalCredit(0, 0.2)).toBeCloseTo(0.5, 12);
    expect(intervalCredit(0.5, 1)).toBeCloseTo(0.8, 12);
    expect(intervalCredit(0.4, 0.4)).toBe(1);
  });

  test('whatever the looks, credit weighted by its chance adds up to 80 %', () => {
    fc.assert(
      fc.property(fc.array(fc.double({ min: 0, max: 1, noNaN: true }), { maxLength: 8 }), (looks) => {
        const ends = [0, ...looks.sort((a, b) => a - b), 1];
        const total = ends
          .slice(1)
          .reduce((sum, end, k) => sum + (end > ends[k] ? (end - ends[k]) * intervalCredit(ends[k], end) : 0), 0);
        expect(total).toBeCloseTo(0.8, 9);
      }),
      { seed: 1 },
    );
  });
});

describe('the report', () => {
  const trials = simulatedTrials({ lives: 500, seed: 4 });
  const run = () =>
    backtest(
      trials,
      modelForecast('model', trials, [simulatedModel(trials, 1, { sd: 0.1 })]),
      [fixedForecast('half', new Float64Array(trials.count).fill(0.5))],
      { seed: 9 },
    );

  test('is the same bytes for the same input', () => {
    expect(JSON.stringify(run())).toBe(JSON.stringify(run()));
  });

  test('holds nothing but finite numbers, texts, truths and nulls', () => {
    const text = JSON.stringify(run(), (_key, value: unknown) => {
      if (typeof value === 'number' && !Number.isFinite(value)) throw new Error('A number is not finite');
      if (ArrayBuffer.isView(value) || value === undefined) throw new Error('Not plain data');
      return value;
    });
    expect(text.length).toBeGreaterThan(1000);
  });

  test('uncertain parameters widen the interval of the total beyond chance alone', () => {
    const total = run().model.total;
    const width = ({ lower, upper }: { lower: number; upper: number }) => upper - lower;
    expect(width(total?.within80 ?? { lower: 0, upper: 0 })).toBeGreaterThan(
      1.5 * trials.count * width(total?.chanceRange ?? { lower: 0, upper: 0 }),
    );
  });

  test('a chance outside 0 to 1 is refused by name', () => {
    const wrong = fixedForecast('wrong', new Float64Array(trials.count).fill(1.2));
    expect(() => backtest(trials, wrong, [], { seed: 1 })).toThrow('Chance of trial 1 by wrong is 1.2');
  });

  test('one look told by two cut-offs widens intervals as if it were one event', () => {
    const twice = { ...trials, look: trials.look.map((look) => look >> 1) };
    const chance = new Float64Array(trials.count).fill(0.3);
    const [once, both] = [trials, twice].map(
      (table) => backtest(table, fixedForecast('x', chance), [], { seed: 1 }).model.total?.within80,
    );
    const width = (range: { lower: number; upper: number } | undefined) => (range ? range.upper - range.lower : 0);
    expect(width(both) / width(once)).toBeGreaterThan(1.3);
    expect(width(both) / width(once)).toBeLessThan(1.5);
  });
});
