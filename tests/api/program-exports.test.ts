import { parse } from 'csv-parse/sync';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { solveScenario } from '../../server/programs/solve-scenario.ts';
import type { Program, ProgramWork, ProgramWorkPage } from '../../server/schemas/program.ts';
import type { ScenarioDefaults } from '../../server/schemas/scenario.ts';
import { sheetRows, unzip } from '../unit/server/exports/unzip.ts';
import { getJson, quietly, startDemo } from './demo-app.ts';
import { LOOPBACK } from './load-over-http.ts';
import type { TestApp } from './start-app.ts';

const NAME = '=Plan "Ä" 2026/31';
let server: TestApp;
let id: string;
let program: Program;
let works: ProgramWork[];
beforeAll(async () => {
  server = await startDemo(300);
  const { inputs } = await getJson<ScenarioDefaults>(server, '/api/scenarios/defaults');
  id = await made(NAME);
  program = await getJson(server, `/api/scenarios/${id}/program`);
  works = (await getJson<ProgramWorkPage>(server, `/api/scenarios/${id}/work?limit=1000`)).items;

  async function made(name: string): Promise<string> {
    const payload = { name, inputs: { ...inputs, horizonYears: 5 } };
    const answer = await server.app.inject({ method: 'POST', url: '/api/scenarios', headers: LOOPBACK, payload });
    await solveScenario(answer.json().id, quietly(server));
    return answer.json().id;
  }
});
afterAll(() => server.close());

const file = async (ending: string) => {
  const answer = await server.app.inject({ url: `/api/export/program/${id}${ending}`, headers: LOOPBACK });
  expect([ending, answer.statusCode]).toEqual([ending, 200]);
  return answer;
};
const csv = async (ending: string): Promise<Record<string, string>[]> =>
  parse((await file(ending)).body, { columns: true });
const sum = (values: readonly number[]): number => values.reduce((all, value) => all + value, 0);

test('files are named after the scenario, and are what they say', async () => {
  const kinds = {
    '.pdf': 'application/pdf',
    '.geojson': 'application/geo+json',
    '-table.csv': 'text/csv; charset=utf-8',
  };
  for (const [ending, type] of Object.entries(kinds)) {
    const { headers } = await file(ending);
    expect(headers['content-type']).toBe(type);
    expect(headers['content-disposition']).toBe(
      `attachment; filename="Plan-A-2026-31${ending}"; filename*=UTF-8''%3DPlan%20%22%C3%84%22%202026-31${ending}`,
    );
  }
  expect((await file('.pdf')).rawPayload.subarray(0, 5).toString()).toBe('%PDF-');
});

test('the table adds up to the report', async () => {
  const rows = await csv('-table.csv');
  for (const { year, lengthM, cost, failedShare, budgetPrice } of program.years) {
    const own = rows.filter((row) => Number(row.year) === year);
    const [all] = own.filter(({ district }) => district === 'all');
    expect(Number(all.lengthM)).toBeCloseTo(lengthM, 2);
    expect(Number(all.costUSDMedian)).toBeCloseTo(cost.median, 1);
    expect(Number(all.failedShareUpper90)).toBeCloseTo(failedShare.upper, 5);
    expect(all.savedPerUnitOfBudget).toBe(budgetPrice === null ? '' : String(budgetPrice));
    const parts = own.filter(({ district, sealantClass }) => district !== 'all' && sealantClass !== 'all');
    expect(sum(parts.map((part) => Number(part.lengthM)))).toBeCloseTo(lengthM, 2);
    expect(sum(parts.map((part) => Number(part.works)))).toBe(Number(all.works));
    const districts = own.filter(({ district, sealantClass }) => district !== 'all' && sealantClass === 'all');
    expect(sum(districts.map((part) => Number(part.costUSDMedian)))).toBeCloseTo(cost.median, 1);
  }
});

test('the list of work is that of the screen; text that a spreadsheet would run is made harmless', async () => {
  const rows = await csv('-work.csv');
  expect(rows.map(({ segmentId, year }) => [segmentId, Number(year)])).toEqual(
    works.map(({ segmentId, year }) => [segmentId, year]),
  );
  for (const [i, row] of rows.entries()) {
    expect(Number(row.costUSD)).toBeCloseTo(works[i].cost, 2);
    expect([row.reason, row.why, row.scenario]).toEqual([works[i].reason, works[i].why, `'${NAME}`]);
  }
  const feet = parse((await file('-work.csv?units=us')).body, { columns: true }) as Record<string, string>[];
  // 1 ft = 0.3048 m, exactly.
  expect(Number(feet[0].lengthFt)).toBeCloseTo(works[0].lengthM / 0.3048, 2);
});

test('the GeoJSON has one feature for each segment with work, with its line and its works by year', async () => {
  const { features } = (await file('.geojson')).json();
  expect(features.map((feature: { id: string }) => feature.id)).toEqual(
    [...new Set(works.map(({ segmentId }) => segmentId))].sort(),
  );
  const [{ id: segmentId, geometry, properties }] = features;
  expect(geometry).toEqual((await server.store.findSegment(segmentId))?.geometry);
  const own = works.filter((work) => work.segmentId === segmentId);
  expect(properties.works.map(({ year }: ProgramWork) => year)).toEqual(own.map(({ year }) => year).sort());
  expect(properties.firstYear).toBe(Math.min(...own.map(({ year }) => year)));
});

test('the workbook holds real numbers and dates under frozen headers', async () => {
  const { rawPayload, headers } = await file('.xlsx');
  expect(headers['content-type']).toBe('application/vnd.openxmlformats-officedocument.spreadsheetml.sheet');
  const files = unzip(rawPayload);
  expect(files.get('xl/workbook.xml')?.toString()).toMatch(/Budget table.*Comparison.*Work list.*Assumptions/);
  for (const sheet of [1, 2, 3]) {
    const xml = files.get(`xl/worksheets/sheet${sheet}.xml`)?.toString() ?? '';
    expect(xml).toMatch(/ySplit="1"[^>]*state="frozen"/);
    expect(xml).toMatch(/<col min="1" max="1" width=/);
  }
  const [budget, , list, assumptions] = [1, 2, 3, 4].map((sheet) => sheetRows(files, sheet));
  expect(budget[0].get('F')).toBe('Cost, USD of the year');
  expect(list).toHaveLength(works.length + 1);
  for (const [i, work] of works.entries()) {
    expect([list[i + 1].get('A'), list[i + 1].get('B')]).toEqual([work.year, work.segmentId]);
    expect(list[i + 1].get('J')).toBeCloseTo(work.cost, 2);
  }
  const dated = assumptions.find((row) => row.get('A') === 'Forecast from');
  // Days since 1899-12-30, as spreadsheets count: 2026-07-01 is day 46,204.
  expect(dated?.get('B')).toBe(46_204);
  const named = assumptions.find((row) => row.get('A') === 'Scenario');
  expect(named?.get('B')).toBe(`'${NAME}, revision 1`);
  expect(files.get('xl/styles.xml')?.toString()).toMatch(/yyyy-mm-dd/);
});

test('the report has two to ten pages', async () => {
  const text = (await file('.pdf')).rawPayload.toString('latin1');
  const pages = text.match(/\/Type \/Page\b/g)?.length ?? 0;
  expect(pages).toBeGreaterThanOrEqual(2);
  expect(pages).toBeLessThanOrEqual(10);
  expect(text).toMatch(/\/MediaBox \[0 0 595\.28 841\.89\]/);
  const letter = (await file('.pdf?units=us')).rawPayload.toString('latin1');
  expect(letter).toMatch(/\/MediaBox \[0 0 612 792\]/);
});

test('the same scenario and data give the same files, byte for byte, also when it is solved again', async () => {
  const all = async () =>
    Promise.all(['.xlsx', '.pdf', '.geojson', '-table.csv', '-work.csv'].map(async (e) => (await file(e)).rawPayload));
  const first = await all();
  // Archives keep times to two seconds: what was packed later must not tell.
  await solveScenario(id, quietly(server));
  for (const [i, bytes] of (await all()).entries()) expect(bytes.equals(first[i])).toBe(true);
});

test('without a program, or with a parameter that there is not, it is refused', async () => {
  for (const ending of ['.xlsx', '.pdf', '.geojson', '-table.csv', '-work.csv']) {
    const ask = (url: string) => server.app.inject({ url, headers: LOOPBACK });
    expect((await ask(`/api/export/program/none${ending}`)).statusCode).toBe(404);
    expect((await ask(`/api/export/program/${id}${ending}?units=cubits`)).statusCode).toBe(400);
  }
});
