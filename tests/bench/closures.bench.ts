import { expect, test } from 'vitest';
import { finishChances, type UncertainClosure } from '../../analytics/closures/finish-chance.ts';
import { type PackingProgress, packClosures } from '../../analytics/closures/pack-closures.ts';
import { brokenRules } from '../unit/analytics/closures/check-schedule.ts';
import { type AirportSize, inventedAirport } from '../unit/analytics/closures/invented-airport.ts';
import { type Figure, keepFigures } from './figures.ts';

const AIRPORT = { runways: 2, taxiways: 12, aprons: 3, segments: 3000, nights: 120, crews: 3, seed: 5 };
/** Fifty facilities with forty windows each. */
const NETWORK = { runways: 4, taxiways: 36, aprons: 10, segments: 12_000, nights: 40, crews: 6, seed: 5 };
const PROVEN = 0.02;

/** Seconds and processor seconds since the start. */
function stopwatch() {
  const [start, cpu] = [performance.now(), process.cpuUsage()];
  return () => {
    const { user, system } = process.cpuUsage(cpu);
    return { seconds: (performance.now() - start) / 1000, cpuSeconds: (user + system) / 1e6 };
  };
}

async function measured(name: string, size: AirportSize, targets: { first: string; all: string }): Promise<Figure[]> {
  const problem = inventedAirport(size);
  const lap = stopwatch();
  let first: ReturnType<typeof lap> | null = null;
  const onProgress = ({ stage }: PackingProgress) => {
    if (stage !== 'first-schedule') first ??= lap();
  };
  const schedule = await packClosures(problem, { gapShare: PROVEN, onProgress });
  const all = lap();
  expect(brokenRules(problem, schedule)).toEqual([]);
  const figure = (what: string, value: number, unit: string, target?: string): Figure => ({
    ...{ what: `${name}: ${what}`, value, unit },
    ...(target ? { target } : {}),
  });
  const { seconds, cpuSeconds } = first ?? all;
  return [
    figure('windows', problem.windows.length, ''),
    figure('first schedule', seconds, 's', targets.first),
    figure('first schedule, processor time', cpuSeconds, 's'),
    figure('until proven or spent', all.seconds, 's', targets.all),
    figure('until proven or spent, processor time', all.cpuSeconds, 's'),
    figure('work left out that could fit at most', 100 * schedule.proof.workGapShare, '%', 'under 2 %'),
    figure('cost above the proven least at most', 100 * schedule.proof.costGapShare, '%', 'under 2 %'),
  ];
}

test('an airport', async () => {
  const targets = { first: 'under 10 s', all: 'under 60 s' };
  const one = { ...AIRPORT, load: 0.6, twoPasses: false };
  await keepFigures('closures-airport', [
    ...(await measured('airport', one, targets)),
    ...(await measured('airport, half of taxiways opened and sealed apart', { ...one, twoPasses: true }, targets)),
    ...(await measured('airport, nights nearly full', { ...one, load: 0.9 }, targets)),
    ...(await measured('airport, one crew for 2.5 times its work', { ...one, crews: 1, load: 2.5 }, targets)),
  ]);
});

test('a network', async () => {
  const targets = { first: 'under 180 s', all: 'under 180 s' };
  const size = { ...NETWORK, load: 0.6, twoPasses: false };
  await keepFigures('closures-network', await measured('50 facilities', size, targets));
});

test('chances to finish of a large schedule', async () => {
  const flags = Uint8Array.from({ length: 30 * 365 }, (_, day) => Number((day * 7) % 10 < 6));
  const record = { firstDay: 14_600, flags, chanceByDay: new Float64Array(365).fill(0.6), years: 30 };
  const closures = Array.from({ length: 1500 }, (_, i): UncertainClosure => {
    const day = 20_940 + (i % 180);
    const shift = { crewId: `crew-${i % 6}`, minutes: 200, mostFactor: 1.2, spread: 0.2, day, records: [record] };
    const startMinute = day * 1440;
    return { id: `c${i}`, facilityId: `F${i % 50}`, startMinute, shifts: [shift], reserve: i % 5 === 4 };
  });
  const lap = stopwatch();
  const { draws } = finishChances(closures);
  const { seconds, cpuSeconds } = lap();
  await keepFigures('closures-chance', [
    { what: '1,500 closures: draws', value: draws, unit: '' },
    { what: '1,500 closures: seconds', value: seconds, unit: 's', target: 'under 30 s' },
    { what: '1,500 closures: processor time', value: cpuSeconds, unit: 's' },
  ]);
});
