import { Compile } from 'typebox/compile';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { runForecast } from '../../server/forecasting/run-forecast.ts';
import { readPriorTrial } from '../../server/forecasting/try-priors.ts';
import type { ModelReport } from '../../server/schemas/model.ts';
import { type Priors, type PriorTable, PriorTableSchema, type PriorTrial } from '../../server/schemas/priors.ts';
import type { Settings } from '../../server/schemas/settings.ts';
import { getJson, quietly, startDemo } from './demo-app.ts';
import { LOOPBACK } from './load-over-http.ts';
import { startApp, type TestApp } from './start-app.ts';

let server: TestApp;
beforeAll(async () => {
  server = await startDemo();
});
afterAll(() => server.close());

const get = <T>(url: string) => getJson<T>(server, url);
const send = (method: 'POST' | 'PUT', url: string, payload?: object) =>
  server.app.inject({ method, url, headers: LOOPBACK, payload });
const draft = async (priors: Priors | null): Promise<PriorTable> => {
  const answer = await send('POST', '/api/priors/draft', { priors });
  expect(answer.statusCode).toBe(200);
  return answer.json();
};
const rowOf = ({ classes }: PriorTable, name: string) => {
  const row = classes.find(({ sealantClass }) => sealantClass === name);
  if (!row) throw new Error(`no row for ${name}`);
  return row;
};

const NONE: Priors = { classes: {}, effects: null, shape: null };
const longLived: Priors = {
  ...NONE,
  classes: { 'preformed-compression': { medianYears: 40, rangeFactor: 1.1, source: 'a warranty' } },
};

describe('what is believed before any data', () => {
  test('is published lives with their sources, every class of which there is a word', async () => {
    const table = await get<PriorTable>('/api/priors');
    expect([...Compile(PriorTableSchema).Errors(table)]).toEqual([]);
    expect(table.classes.length).toBe(11);
    expect(table.classes.every(({ changed, published }) => !changed && published.source.length > 10)).toBe(true);
    expect(table.fittedWithThese).toBe(true);
    expect([table.modelVersion, table.versionBefore]).toEqual([1, null]);
    // Recipe of priors: log SD 0.5 at shape 2.5 is 1 / (2.5² x 0.5²) = 0.64 of a failure.
    expect(rowOf(table, 'hot-applied').worthFailures).toBeCloseTo(0.64, 10);
    const { classes } = await get<ModelReport>('/api/model');
    for (const { sealantClass, medianLifeYears, failures } of classes)
      expect(rowOf(table, sealantClass).fitted).toMatchObject({ medianLifeYears, failures });
    const failures = table.classes.map(({ fitted }) => fitted?.failures ?? -1);
    expect(failures).toEqual(failures.toSorted((a, b) => b - a));
  });

  test('says what a belief says: shares gone and left, half by about the median', async () => {
    const { sentence } = rowOf(await get<PriorTable>('/api/priors'), 'preformed-compression');
    const [, half] = sentence.match(/^.* gone in year 1, half by year (\d+), .* beyond year 40\.$/) ?? [];
    expect(Math.abs(Number(half) - 17)).toBeLessThanOrEqual(2);
  });

  test('of a draft is worked out without saving it', async () => {
    const table = await draft(longLived);
    const row = rowOf(table, 'preformed-compression');
    expect(row).toMatchObject({ changed: true, believed: longLived.classes['preformed-compression'] });
    // log 1.1 / 1.96 = 0.0486; 1 / (2.5 x 0.0486)² = 67.7 failures.
    expect(row.worthFailures).toBeCloseTo(67.7, 0);
    expect(row.caution).toMatch(/the belief decides/);
    expect(table.fittedWithThese).toBe(false);
    expect((await get<Settings>('/api/settings')).priors).toBeNull();
  });

  test('that cannot be is refused with the field and what is allowed', async () => {
    const wrong = (priors: object) => send('POST', '/api/priors/draft', { priors: { ...NONE, ...priors } });
    const belief = { medianYears: 8, rangeFactor: 2, source: '' };
    for (const priors of [
      { classes: { moonlight: belief } },
      { classes: { polysulfide: { ...belief, medianYears: 0 } } },
      { classes: { polysulfide: { ...belief, rangeFactor: 1 } } },
      { classes: { polysulfide: { ...belief, medianYears: null } } },
      { classes: { polysulfide: { medianYears: 8 } } },
      { effects: { rangeFactor: 0.5, source: '' } },
      { shape: { median: 100, rangeFactor: 2, source: '' } },
    ]) {
      const answer = await wrong(priors);
      expect(answer.statusCode).toBe(400);
      expect(answer.json().errors.length).toBeGreaterThan(0);
      const settings = await get<Settings>('/api/settings');
      const put = await send('PUT', '/api/settings', { ...settings, priors: { ...NONE, ...priors } });
      expect(put.statusCode).toBe(400);
    }
    const tooLong = (await wrong({ classes: { polysulfide: { ...belief, medianYears: 400 } } })).json();
    expect(JSON.stringify(tooLong.errors)).toMatch(/polysulfide.*medianYears/);
    expect(JSON.stringify(tooLong.errors)).toMatch(/100/);
  });
});

describe('a trial of other beliefs', () => {
  test('is empty before the first', async () => {
    expect(await get<PriorTrial>('/api/priors/trials')).toMatchObject({ madeAt: null, classes: [], outdated: false });
  });

  test('gives medians before and after by a job, and changes no forecast', async () => {
    const version = (await get<ModelReport>('/api/model')).version;
    const started = await send('POST', '/api/priors/trials', { priors: longLived });
    expect(started.statusCode).toBe(202);
    const job = await server.jobs.ended(started.json().id);
    expect([job.state, job.error]).toEqual(['done', null]);
    const trial = await get<PriorTrial>('/api/priors/trials');
    expect(trial).toEqual(await readPriorTrial(server.store));
    expect(trial).toMatchObject({ priors: longLived, outdated: false });
    const report = await get<ModelReport>('/api/model');
    expect(report.version).toBe(version);
    for (const { sealantClass, saved } of trial.classes)
      expect(report.classes.find((each) => each.sealantClass === sealantClass)?.medianLifeYears).toEqual(saved);
    const moved = trial.classes.find(({ sealantClass }) => sealantClass === 'preformed-compression');
    expect(moved?.believedYears).toEqual({ saved: 17, tried: 40 });
    expect((moved?.tried.median ?? 0) / (moved?.saved.median ?? 1)).toBeGreaterThan(1.1);
    expect(moved?.sentence).toMatch(/longer: \d+ % of the change of belief comes through/);
    expect(trial.summary).toMatch(/^The median life of \d+ of \d+ classes changes/);
  });

  test('is outdated once what is believed changes', async () => {
    const settings = await get<Settings>('/api/settings');
    await send('PUT', '/api/settings', { ...settings, priors: longLived });
    expect((await get<PriorTrial>('/api/priors/trials')).outdated).toBe(true);
    await send('PUT', '/api/settings', settings);
    expect((await get<PriorTrial>('/api/priors/trials')).outdated).toBe(false);
  });

  test('without a seal on record is refused', async () => {
    const empty = await startApp();
    const answer = await empty.app.inject({
      ...{ method: 'POST', url: '/api/priors/trials', headers: LOOPBACK },
      payload: { priors: null },
    });
    expect([answer.statusCode, answer.json().detail]).toEqual([409, expect.stringMatching(/Load records first/)]);
    expect((await getJson<PriorTable>(empty, '/api/priors')).modelVersion).toBeNull();
    await empty.close();
  });
});

describe('a fit with beliefs of the agency', () => {
  test('stands beside the version before, names them, and comes back with its version', async () => {
    const settings = await get<Settings>('/api/settings');
    await send('PUT', '/api/settings', { ...settings, priors: longLived });
    await runForecast(quietly(server));
    const report = await get<ModelReport>('/api/model');
    expect(report.settingsUsed.priors).toEqual(longLived);
    expect(report.settingsUsed.prior).toContain("the agency's own for 1 class");
    const table = await get<PriorTable>('/api/priors');
    expect([table.modelVersion, table.versionBefore, table.fittedWithThese]).toEqual([2, 1, true]);
    const { fitted, before } = rowOf(table, 'preformed-compression');
    expect([fitted?.believedMedianYears, before?.believedMedianYears]).toEqual([40, 17]);
    expect(fitted?.medianLifeYears.median).toBeGreaterThan((before?.medianLifeYears.median ?? 0) * 1.1);
    // A surer belief leaves less to be learnt.
    expect(fitted?.dataShare).toBeLessThan(before?.dataShare ?? 0);
    await send('PUT', '/api/settings', settings);
    const back = await send('POST', '/api/models/2/adopt');
    expect((await server.jobs.ended(back.json().id)).state).toBe('done');
    expect((await get<Settings>('/api/settings')).priors).toEqual(longLived);
    const again = await send('POST', '/api/models/1/adopt');
    expect((await server.jobs.ended(again.json().id)).state).toBe('done');
    expect((await get<Settings>('/api/settings')).priors).toBeNull();
  });

  test('at the ends of what is allowed still converges, or says why not', async () => {
    const settings = await get<Settings>('/api/settings');
    const short = { medianYears: 0.5, rangeFactor: 1.1, source: '' };
    const extreme: Priors = {
      classes: { 'hot-applied-type-2': short, 'silicone-self-levelling': { ...short, medianYears: 100 } },
      effects: { rangeFactor: 1.05, source: '' },
      shape: { median: 10, rangeFactor: 1.1, source: '' },
    };
    await send('PUT', '/api/settings', { ...settings, priors: extreme });
    await runForecast(quietly(server));
    const { fit, shape } = await get<ModelReport>('/api/model');
    expect(fit.converged).toBe(true);
    expect(shape?.median).toBeGreaterThan(2);
    await send('PUT', '/api/settings', settings);
  });
});
