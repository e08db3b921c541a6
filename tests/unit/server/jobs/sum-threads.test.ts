import { describe, expect, test } from 'vitest';
import { networkOutlook } from '../../../../analytics/condition/network-outlook.ts';
import { ONE_THREAD, type SumThreads } from '../../../../analytics/numeric/chunk-sums.ts';
import { fitPooled } from '../../../../analytics/pooling/fit-pooled.ts';
import type { AftData } from '../../../../analytics/survival/aft.ts';
import { compress } from '../../../../analytics/survival/compress.ts';
import { fitAft } from '../../../../analytics/survival/fit-aft.ts';
import { LIFE_SUMS } from '../../../../analytics/survival/likelihood-chunks.ts';
import { posteriorDraws } from '../../../../analytics/survival/posterior.ts';
import { standardise } from '../../../../analytics/survival/standardise.ts';
import { weakPrior } from '../../../../analytics/survival/weak-prior.ts';
import { fitNetwork } from '../../../../server/forecasting/fit-network.ts';
import { twoThreads } from '../../../../server/jobs/sum-threads.ts';
import { DEFAULT_SETTINGS } from '../../../../server/store/sqlite/settings.ts';
import { OUTLOOK_OPTIONS, outlookInput, someDraws } from '../../analytics/condition/known-segments.ts';
import { simulateLots } from '../../analytics/pooling/simulated-lots.ts';
import { RECOVERED_FAMILIES, simulateLives } from '../../analytics/survival/recovery.ts';
import { demoAgency } from '../../data-demo/demo-agency.ts';
import { forecastsInUse, networkOf } from '../evidence/demo-lives.ts';

const ROWS = 12_000;
const LEAST_ROWS = 1000;

const bytesOf = (value: unknown): string =>
  JSON.stringify(value, (_key, part) => (ArrayBuffer.isView(part) ? Array.from(part as Float64Array) : part));

/** A fit and draws around it, as the bytes that a report would have. */
function fitAndDraws(data: AftData, family: (typeof RECOVERED_FAMILIES)[number], threads: SumThreads): string {
  const prior = weakPrior(data);
  const fit = fitAft(data, { family, prior, threads });
  return bytesOf({ fit, draws: posteriorDraws(data, fit, prior, { draws: 50, seed: 1, threads }) });
}

function expectSameBytes(made: (threads: SumThreads) => string): void {
  const alone = made(ONE_THREAD);
  const chunksHelped: number[] = [];
  const two = twoThreads({ leastWork: LEAST_ROWS, helped: (chunks) => chunksHelped.push(chunks) });
  // The second thread may still be starting the first time, or wait for a processor, and takes part by the end at the latest.
  for (let turn = 0; turn < 50 && !chunksHelped.some((chunks) => chunks > 0); turn++) expect(made(two)).toBe(alone);
  expect(Math.max(...chunksHelped)).toBeGreaterThan(0);
}

describe('one thread and two', () => {
  test.each(RECOVERED_FAMILIES)('%s: fit and draws have the same bytes', (family) => {
    const data = simulateLives(family, ROWS, 1);
    expectSameBytes((threads) => fitAndDraws(data, family, threads));
  });

  test('damaged shares: the model of a network and its forecasts have the same bytes', async () => {
    const { network, placed } = networkOf(await demoAgency(300));
    const made = (threads: SumThreads): string => {
      const model = { ...fitNetwork(network, DEFAULT_SETTINGS, threads), fitSeconds: 0 };
      return bytesOf({ model, forecasts: forecastsInUse(model, placed) });
    };
    expectSameBytes(made);
  });

  test('what falls due and the forecast of a network have the same bytes', () => {
    const { growth, reading, ...draws } = someDraws();
    const model = { family: 'weibull', draws, condition: { growth, reading } } as const;
    const input = outlookInput(4000);
    const made = (threads: SumThreads): string => bytesOf(networkOutlook(input, model, OUTLOOK_OPTIONS, { threads }));
    expectSameBytes(made);
  });

  test('effects of lots and the spread among them have the same bytes', () => {
    const { data, lots } = simulateLots({
      seals: 3000,
      lots: 60,
      seed: 1,
      effectOf: (_lot, { normal }) => 0.2 * normal(),
    });
    const crews = { name: 'crew', index: lots.index.map((lot) => lot % 7), levels: [...'ABCDEFG'] };
    const made = (threads: SumThreads): string =>
      bytesOf(fitPooled(data, [lots, crews], { family: 'weibull', prior: weakPrior(data), threads }));
    expectSameBytes(made);
  });

  test('few rows are not shared', () => {
    let asked = false;
    const two = twoThreads({
      leastWork: LEAST_ROWS,
      helped: () => {
        asked = true;
      },
    });
    const data = simulateLives('weibull', LEAST_ROWS - 1, 1);
    expect(fitAft(data, { family: 'weibull', prior: null, threads: two }).status).toBe('ok');
    expect(asked).toBe(false);
  });
});

describe('a second thread that fails', () => {
  const data = simulateLives('weibull', 20_000, 1);
  const input = { design: standardise(compress(data), null), family: 'weibull' as const };
  const sumsOf = (threads: SumThreads, maker: typeof LIFE_SUMS): string[] =>
    threads.withSums(maker, input, (sums) =>
      Array.from({ length: 60 }, (_, turn) => bytesOf(sums(1, Float64Array.of(0.001 * turn, 0, 0, 2)))),
    );
  const alone = sumsOf(ONE_THREAD, LIFE_SUMS);

  test('is done without when it cannot make its sums', () => {
    const unknown = { ...LIFE_SUMS, name: 'no such sums' };
    expect(sumsOf(twoThreads({ leastWork: LEAST_ROWS }), unknown)).toEqual(alone);
  });

  test('is done without when it dies with a chunk in hand: another is started for the next sum', async () => {
    const workerUrl = new URL('./dying-sum-worker.mjs', import.meta.url);
    const chunksTaken: number[] = [];
    const helped = (chunks: number) => chunksTaken.push(chunks);
    const threads = twoThreads({ leastWork: LEAST_ROWS, workerUrl, longestChunkMs: 100, helped });
    // It starts in its own time; one that died after its sum had ended is only missed once its end is told.
    for (let sum = 0; sum < 1000 && chunksTaken.filter((chunks) => chunks > 0).length < 2; sum++) {
      expect(sumsOf(threads, LIFE_SUMS)).toEqual(alone);
      await new Promise(setImmediate);
    }
    expect(chunksTaken.filter((chunks) => chunks > 0).length).toBeGreaterThanOrEqual(2);
  });

  test('is done without when there is no such file', () => {
    const workerUrl = new URL('./no-such-worker.mjs', import.meta.url);
    expect(sumsOf(twoThreads({ leastWork: LEAST_ROWS, workerUrl }), LIFE_SUMS)).toEqual(alone);
  });
});
