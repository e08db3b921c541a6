import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { runForecast } from '../../server/forecasting/run-forecast.ts';
import type { Budget } from '../../server/schemas/budget.ts';
import type { SegmentCard } from '../../server/schemas/card.ts';
import type { Drivers, WhatIf } from '../../server/schemas/drivers.ts';
import type { SegmentPage, Summary } from '../../server/schemas/forecast.ts';
import type { ModelReport } from '../../server/schemas/model.ts';
import type { Settings } from '../../server/schemas/settings.ts';
import { getJson, quietly } from './demo-app.ts';
import { FACILITY_SD, LOT_SD, startDiffering } from './differing-agency.ts';
import { LOOPBACK } from './load-over-http.ts';
import type { TestApp } from './start-app.ts';

const everyForecast = async (server: TestApp) => ({
  rows: (await getJson<SegmentPage>(server, '/api/segments?limit=1000')).items,
  budget: { ...(await getJson<Budget>(server, '/api/budget')), modelVersion: 0 },
  summary: await getJson<Summary>(server, '/api/summary'),
});

async function fitWith(server: TestApp, change: Partial<Settings>): Promise<ModelReport> {
  await server.store.writeSettings({ ...(await server.store.readSettings()), ...change });
  await runForecast(quietly(server));
  return getJson<ModelReport>(server, '/api/model');
}

describe('where facilities and lots differ', () => {
  let server: TestApp;
  let effects: ReadonlyMap<string, number>;
  beforeAll(async () => {
    ({ server, facilityEffects: effects } = await startDiffering());
  });
  afterAll(() => server.close());
  const groupingOf = (report: ModelReport, name: string) => {
    const found = report.pooling?.groupings.find((grouping) => grouping.name === name);
    if (!found) throw new Error(`no ${name} in the report`);
    return found;
  };

  test('forecasts use both, not the districts, and the report says why', async () => {
    const report = await getJson<ModelReport>(server, '/api/model');
    expect(report.condition?.used).toBe(true);
    expect(report.pooling).toMatchObject({ used: true });
    expect(report.pooling?.sentence).toMatch(/effect of its facility and lot in it.*new seal is of a lot not known/);
    expect(report.settingsUsed.pooling).toBe('auto');
    const [district, facility, lot] = ['district', 'facility', 'lot'].map((name) => groupingOf(report, name));
    expect(district).toMatchObject({ used: false, factor: null, levels: 4, unknownSeals: 0, shortest: [] });
    expect(district.sentence).toMatch(/^Districts differ no more than chance .* not used/);
    expect(facility.sentence).toMatch(/^Facilities differ in life by a factor of 1\.\d\d .*: used \(12 compared/);
    for (const [grouping, sd] of [
      [facility, FACILITY_SD],
      [lot, LOT_SD],
    ] as const) {
      expect(grouping.used).toBe(true);
      expect(grouping.gain).toBeGreaterThan(report.pooling?.leastGain ?? 0);
      // The spread of a dozen true effects is itself within a third of what they were drawn from.
      expect(Math.abs(Math.log(grouping.factor?.median ?? 1) / sd - 1)).toBeLessThan(0.4);
    }
    expect(lot.unknownSeals).toBe(120);
  });

  test('shrunk effects are near the true ones, which their intervals hold', async () => {
    const facility = groupingOf(await getJson<ModelReport>(server, '/api/model'), 'facility');
    const listed = [...facility.shortest, ...facility.longest];
    expect(listed.length).toBe(10);
    let inside = 0;
    for (const { level, lifeRatio, seals } of listed) {
      const truth = Math.exp(effects.get(level) ?? Number.NaN);
      expect(seals).toBeGreaterThan(40);
      expect(Math.abs(Math.log(lifeRatio.median / truth))).toBeLessThan(0.25);
      inside += Number(lifeRatio.lower <= truth && truth <= lifeRatio.upper);
    }
    // Ten intervals of 80 % that share what is not known of the average.
    expect(inside).toBeGreaterThanOrEqual(5);
  });

  test("the card's curve passes through the forecast, and its drivers name the levels", async () => {
    const { rows } = await everyForecast(server);
    const open = rows.filter(({ failedNowProbability }) => (failedNowProbability ?? 1) < 0.5);
    for (const { id } of open.slice(0, 8)) {
      const { curve, forecast } = await getJson<SegmentCard>(server, `/api/segments/${id}`);
      if (!curve || !forecast) throw new Error(`no curve of ${id}`);
      for (const [y, failed] of forecast.failedByYearEnd.slice(0, 19).entries()) {
        const right = curve.years.findIndex((year) => year >= forecast.planningYear + y + 1);
        expect(1 - failed).toBeLessThanOrEqual(curve.survival[right - 1] + 2e-6);
        expect(1 - failed).toBeGreaterThanOrEqual(curve.survival[right] - 2e-6);
      }
    }
    const named = await getJson<Drivers>(server, '/api/segments/S1/drivers');
    expect(named.levels.map(({ name }) => name)).toEqual(['facility', 'lot']);
    expect(named.levels[0].valueText).toBe('Road F1');
    expect(named.levels[0].sentence).toMatch(
      /^Its facility, Road F1: lasts \d\.\d\d times as long as the average facility, /,
    );
    const unknown = await getJson<Drivers>(server, '/api/segments/S0/drivers');
    expect(unknown.levels[1]).toMatchObject({ name: 'lot', valueText: 'not recorded' });
    expect(unknown.levels[1].sentence).toMatch(/^Its lot is not recorded: taken as some lot, /);
    const widthOf = ({ lower, upper }: { lower: number; upper: number }) => Math.log(upper / lower);
    expect(widthOf(unknown.levels[1].lifeRatio)).toBeGreaterThan(1.3 * widthOf(named.levels[1].lifeRatio));
  });

  test('a new seal keeps its facility and is of another lot', async () => {
    const ask = async (id: string) => {
      const answer = await server.app.inject({
        ...{ method: 'POST', url: `/api/segments/${id}/what-if`, headers: LOOPBACK },
        payload: { sealantClass: 'polysulfide' },
      });
      expect(answer.statusCode).toBe(200);
      return (answer.json() as WhatIf).option.medianLifeYears;
    };
    const { shortest, longest } = groupingOf(await getJson<ModelReport>(server, '/api/model'), 'facility');
    const of = (road: string) => `S${Number(road.replace('Road F', ''))}`;
    const [short, long] = [await ask(of(shortest[0].level)), await ask(of(longest[0].level))];
    const ratio = longest[0].lifeRatio.median / shortest[0].lifeRatio.median;
    expect(Math.abs(long.median / short.median / ratio - 1)).toBeLessThan(0.1);
    // An 80 % interval of a new lot's effect is 1.28 SDs either way.
    expect(Math.log(long.upper / long.lower)).toBeGreaterThan(1.8 * LOT_SD);
  });

  test('totals are wider than for independent seals, and an old version comes back bit for bit', async () => {
    const first = await everyForecast(server);
    const { version } = await getJson<ModelReport>(server, '/api/model');
    const off = await fitWith(server, { pooling: 'off' });
    expect(off.pooling).toMatchObject({ used: false, groupings: [] });
    expect(off.pooling?.sentence).toMatch(/settings say not to look/);
    const independent = await everyForecast(server);
    expect(independent.rows).not.toEqual(first.rows);
    const width = ({ budget }: typeof first) => budget.overall.lengthM.upper - budget.overall.lengthM.lower;
    expect(width(first)).toBeGreaterThan(width(independent));
    // What falls due at once is mostly known; later years carry what is not known of lots.
    for (const y of [10, 15, 20]) {
      const wide = ({ budget }: typeof first) => budget.totals[y].lengthM.upper - budget.totals[y].lengthM.lower;
      expect(wide(first)).toBeGreaterThan(0.95 * wide(independent));
    }
    const adopted = await server.app.inject({ method: 'POST', url: `/api/models/${version}/adopt`, headers: LOOPBACK });
    expect((await server.jobs.ended(adopted.json().id)).state).toBe('done');
    expect((await getJson<Settings>(server, '/api/settings')).pooling).toBe('auto');
    expect(await everyForecast(server)).toEqual(first);
  });

  test('ages alone find the same facilities apart', async () => {
    const report = await fitWith(server, { conditionModel: 'off' });
    expect(report.condition?.used).toBe(false);
    const facility = groupingOf(report, 'facility');
    expect(facility.used).toBe(true);
    const [shortest, longest] = [facility.shortest[0].level, facility.longest[0].level];
    expect(effects.get(shortest)).toBeLessThan(-0.1);
    expect(effects.get(longest)).toBeGreaterThan(0.1);
  });
});

test('where nothing differs but by chance, forecasts are those of independent seals, byte for byte', async () => {
  const { server } = await startDiffering({ segments: 300, facilitySd: 0, lotSd: 0 });
  const report = await getJson<ModelReport>(server, '/api/model');
  expect(report.pooling?.used).toBe(false);
  expect(report.pooling?.sentence).toMatch(/^Neither districts nor facilities nor lots differ/);
  expect(report.pooling?.groupings.map(({ used }) => used)).toEqual([false, false, false]);
  const looked = JSON.stringify(await everyForecast(server));
  await fitWith(server, { pooling: 'off' });
  expect(JSON.stringify(await everyForecast(server))).toBe(looked);
  await server.close();
});
