import { existsSync, mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { Compile } from 'typebox/compile';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { type Program, ProgramSchema, type ProgramWork } from '../../../../server/schemas/program.ts';
import { openSqliteStore } from '../../../../server/store/sqlite/open.ts';
import { SMALL_AGENCY } from '../../../api/small-agency.ts';
import { run } from './run-command.ts';

let data: string;
beforeAll(async () => {
  data = mkdtempSync(path.join(tmpdir(), 'kerfcast-program-'));
  const files = Object.entries(SMALL_AGENCY).map(([name, content]) => {
    writeFileSync(path.join(data, name), content);
    return path.join(data, name);
  });
  await run('load', ...files, '--data', data);
});
afterAll(() => rmSync(data, { recursive: true, force: true }));

const at = (name: string): string => path.join(data, name);
function scenario(name: string, content: unknown): string {
  writeFileSync(at(name), typeof content === 'string' ? content : JSON.stringify(content));
  return at(name);
}
const program = (file: string, ...args: string[]) => run('program', '--data', data, '--scenario', file, ...args);
async function names(): Promise<string[]> {
  const store = openSqliteStore(at('kerfcast.sqlite'));
  const listed = (await store.listScenarios()).map(({ name, revision }) => `${name} ${revision}`);
  await store.close();
  return listed;
}

test('before the first forecast it is refused, with the next step', async () => {
  const { code, err } = await program(scenario('plan.json', {}));
  expect([code, err]).toEqual([1, expect.stringMatching(/then run kerfcast forecast/)]);
  expect((await run('forecast', '--data', data)).code).toBe(0);
});

test('a scenario file gives program, totals, bound, gap and works as JSON', async () => {
  const { code, out } = await program(scenario('plan.json', { inputs: { horizonYears: 10 } }), '--json');
  expect(code).toBe(0);
  const { works, ...report } = JSON.parse(out) as Program & { works: ProgramWork[] };
  expect([...Compile(ProgramSchema).Errors(report)]).toEqual([]);
  expect([report.scenarioName, report.years.length, report.status]).toEqual(['plan', 10, 'solved']);
  expect(report.bound).toBeLessThanOrEqual(report.objective);
  expect(works).toHaveLength(report.totals.works);
  // S3 was found failed in 2022.
  const found = works.find(({ segmentId }) => segmentId === 'S3');
  expect(found).toMatchObject({ year: report.years[0].year, failedChance: 1, lengthM: 640 });
  expect(await names()).toEqual(['plan 1']);
});

test('the same file again changes nothing; other inputs are a revision of the same scenario', async () => {
  await program(at('plan.json'));
  expect(await names()).toEqual(['plan 1']);
  const { out, code } = await program(scenario('plan.json', { inputs: { horizonYears: 5 } }));
  expect(code).toBe(0);
  expect(out).toMatch(/^Objective USD .*; gap /m);
  expect(out).toMatch(/^ {2}\d{4} +\d+ reseals .* km .* USD /m);
  expect(await names()).toEqual(['plan 2']);
  const other = await program(scenario('other.json', { name: 'No trace' }), '--no-keep');
  expect(other.code).toBe(0);
  expect(await names()).toEqual(['plan 2']);
});

test('files are written by their endings', async () => {
  const endings = ['a.xlsx', 'a.pdf', 'a.geojson', 'a-table.csv', 'a.csv'];
  const { code } = await program(at('plan.json'), '--units', 'us', '--out', ...endings.map(at));
  expect(code).toBe(0);
  for (const name of endings) expect([name, statSync(at(name)).size > 300]).toEqual([name, true]);
  expect(readFileSync(at('a.csv'), 'utf8')).toMatch(/^year,segmentId,.*,lengthFt,/);
  expect(readFileSync(at('a-table.csv'), 'utf8')).toMatch(/^year,district,/);
  expect(JSON.parse(readFileSync(at('a.geojson'), 'utf8')).features.length).toBeGreaterThan(0);
  const wrong = await program(at('plan.json'), '--out', at('a.docx'));
  expect([wrong.code, wrong.err]).toEqual([2, expect.stringMatching(/a\.docx; expected a file that ends in \.xlsx/)]);
  expect(existsSync(at('a.docx'))).toBe(false);
});

test('what cannot be kept is told, with exit code 1', async () => {
  const committed = [{ segmentId: 'S1', year: new Date().getFullYear(), sealantClass: null }];
  const budgets = { moneyOf: 'each-year', everyYear: 1, byYear: [], districts: [] };
  const { code, out } = await program(scenario('tight.json', { inputs: { committed, budgets } }), '--no-keep');
  expect(code).toBe(1);
  expect(out).toMatch(/^ {2}! The budget of \d{4} is USD 1 /m);
  expect(out).toMatch(/gap none, as no program keeps every limit/);
});

test.each([
  ['{', /not JSON/],
  ['[]', /an object with inputs/],
  ['{"input": {}}', /input is there; expected only name, note and inputs/],
  ['{"inputs": 3}', /inputs is 3; expected an object/],
  ['{"name": ""}', /name is empty; expected at least 1 characters/],
  ['{"inputs": {"horizonYears": 41}}', /inputs\.horizonYears is 41; expected 40 or less/],
  ['{"inputs": {"colour": 1}}', /inputs\.colour is 1; expected one of the known fields: horizonYears/],
  [
    '{"inputs": {"committed": [{"segmentId": "S9", "year": 2030, "sealantClass": null}]}}',
    /inputs\.committed\.0\.segmentId is S9; expected the id of a segment/,
  ],
])('a file with %s is refused with its place', async (content, words) => {
  const file = scenario('bad.json', content);
  const { code, err } = await program(file);
  expect([code, err]).toEqual([1, expect.stringMatching(words)]);
  expect(err).toContain(file);
  expect(await names()).toEqual(['plan 2']);
});

test('a locked scenario stays as it is; a missing file or option is wrong usage', async () => {
  const store = openSqliteStore(at('kerfcast.sqlite'));
  const [{ id }] = await store.listScenarios();
  await store.changeScenario(id, null, { locked: true }, '');
  await store.close();
  const { code, err } = await program(at('plan.json'));
  expect([code, err]).toEqual([1, expect.stringMatching(/plan is locked/)]);
  expect((await program(at('none.json'))).code).toBe(2);
  expect((await run('program', '--data', data)).code).toBe(2);
});
