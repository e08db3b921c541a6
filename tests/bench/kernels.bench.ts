import { test } from 'vitest';
import { networkOutlook } from '../../analytics/condition/network-outlook.ts';
import { failedMassInto } from '../../analytics/forecast/conditional-kernel.ts';
import { forecastSegments } from '../../analytics/forecast/forecast-segments.ts';
import { newLives } from '../../analytics/forecast/new-lives.ts';
import { standardHazard, survivalTable } from '../../analytics/forecast/standard-life.ts';
import { fitAft } from '../../analytics/survival/fit-aft.ts';
import type { TileSegment } from '../../server/store/store.ts';
import { encodeSegments } from '../../server/tiles/encode-tile.ts';
import { type Figure, keepFigures } from './figures.ts';
import { FORECAST_OPTIONS, inventedDraws, inventedKnowledge, inventedRows } from './invented-seals.ts';

/** Least processor seconds of three runs: another program on the machine can only add to them. */
function cpuSeconds(work: () => void): number {
  let least = Number.POSITIVE_INFINITY;
  for (let run = 0; run < 3; run++) {
    const before = process.cpuUsage();
    work();
    const { user, system } = process.cpuUsage(before);
    least = Math.min(least, (user + system) / 1e6);
  }
  return least;
}

test('kernels of fit and forecast', async () => {
  await keepFigures('kernels', [...survivalKernel(), ...forecasts(), ...fitting(), ...tile()]);
});

/** The table with interpolation against two exponentials for each age. */
function survivalKernel(): Figure[] {
  const [ages, rounds] = [Float64Array.from({ length: 25 }, (_, j) => Math.log(6 + j)), 100_000];
  const out = new Float64Array(ages.length);
  const table = survivalTable('weibull');
  const draw = { eta: 2.2, perSigma: 2.5 };
  const start = Math.log(5);
  const kernel = cpuSeconds(() => {
    for (let i = 0; i < rounds; i++) {
      draw.eta = 2.2 + (i % 200) * 1e-3;
      failedMassInto(out, ages, 0, ages.length, start, draw, table, null);
    }
  });
  const scalar = cpuSeconds(() => {
    for (let i = 0; i < rounds; i++) {
      const eta = 2.2 + (i % 200) * 1e-3;
      const atStart = standardHazard('weibull', (start - eta) * draw.perSigma);
      for (let j = 0; j < ages.length; j++)
        out[j] = 1 - Math.exp(atStart - standardHazard('weibull', (ages[j] - eta) * draw.perSigma));
    }
  });
  return [
    { what: 'conditional survival, one age of one draw', value: (kernel / rounds / ages.length) * 1e9, unit: 'ns' },
    { what: 'the same in its readable form, times as long', value: scalar / kernel, unit: '' },
  ];
}

function forecasts(): Figure[] {
  const [segments, draws] = [5_000, inventedDraws(200)];
  const known = inventedKnowledge(segments);
  const due = {
    ...known,
    readings: null,
    lengthM: new Float64Array(segments).fill(100),
    district: Int32Array.from({ length: segments }, (_, i) => i % 2),
    sealantClass: Int32Array.from({ length: segments }, (_, i) => i % 5),
    costPerM: new Float64Array(segments).fill(6),
  };
  const money = { planningYear: 2026, priceYear: 2025, escalationPerYear: 0.03, discountRatePerYear: 0.04, seed: 1 };
  const thousand = (seconds: number) => (seconds / segments) * 1e6;
  const each = cpuSeconds(() => void forecastSegments(known, draws, 'weibull', FORECAST_OPTIONS));
  const model = { family: 'weibull', draws, condition: null } as const;
  const options = { ...FORECAST_OPTIONS, ...money, keptDraws: Int32Array.of(0) };
  const network = cpuSeconds(() => void networkOutlook(due, model, options));
  const lives = cpuSeconds(() => void newLives(known.covariates, draws, 'weibull'));
  return [
    { what: 'forecast of 1,000 segments, 200 draws', value: thousand(each), unit: 'ms' },
    { what: 'what falls due and the forecast of 1,000 segments, 200 draws', value: thousand(network), unit: 'ms' },
    { what: 'life after resealing of 1,000 segments', value: thousand(lives), unit: 'ms' },
  ];
}

function fitting(): Figure[] {
  const rows = inventedRows(20_000);
  let iterations = 1;
  const seconds = cpuSeconds(() => {
    ({ iterations } = fitAft(rows, { family: 'weibull', prior: null }));
  });
  const perRow = (seconds / rows.lower.length / Math.max(1, iterations)) * 1e6;
  return [{ what: 'fit, one row in one step (16 columns)', value: perRow, unit: 'µs' }];
}

function tile(): Figure[] {
  const segments = Array.from({ length: 5_000 }, (_, i) => tileSegment(i));
  const seconds = cpuSeconds(() => void encodeSegments({ z: 12, x: 897, y: 1601 }, segments));
  return [{ what: 'writing a tile, 1,000 segments', value: (seconds / segments.length) * 1e6, unit: 'ms' }];
}

function tileSegment(i: number): TileSegment {
  const [lon, lat] = [-101.16 + (i % 70) * 1e-3, 36.21 + Math.floor(i / 70) * 1e-3];
  return {
    rowId: i + 1,
    id: `H01-${i}-T`,
    facilityId: `H${i % 20}`,
    facilityKind: 'highway',
    jointType: 'longitudinal',
    direction: 'northbound',
    sealedLengthM: 160.5,
    sealantClass: 'polysulfide',
    damagedShare: 0.04,
    unsealedByPolicy: false,
    dueYear: 2030,
    planningYear: 2026,
    failedByYearEnd: Float32Array.from({ length: 21 }, (_, y) => y / 21),
    workByYear: null,
    geometry: {
      type: 'LineString',
      coordinates: [
        [lon, lat],
        [lon + 9e-4, lat + 3e-4],
        [lon + 18e-4, lat + 5e-4],
      ],
    },
  };
}
