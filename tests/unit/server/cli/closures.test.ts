import { existsSync, mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import ICAL from 'ical.js';
import { Compile } from 'typebox/compile';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { type Schedule, ScheduleSchema } from '../../../../server/schemas/closures.ts';
import { openSqliteStore } from '../../../../server/store/sqlite/open.ts';
import { SMALL_AGENCY } from '../../../api/small-agency.ts';
import { sampleRules } from '../store/sample-closures.ts';
import { sampleInputs, sampleProgram, sampleWork } from '../store/sample-program.ts';
import { run } from './run-command.ts';

let data: string;
const at = (name: string): string => path.join(data, name);
beforeAll(async () => {
  data = mkdtempSync(path.join(tmpdir(), 'kerfcast-closures-'));
  const files = Object.entries(SMALL_AGENCY).map(([name, content]) => {
    writeFileSync(at(name), content);
    return at(name);
  });
  await run('load', ...files, '--data', data);
  const store = openSqliteStore(at('kerfcast.sqlite'));
  const page = await store.listSegments({ filter: {}, sort: 'id', descending: false, limit: 5, after: null });
  const works = page.items.map(({ id, facilityId }) =>
    sampleWork(id, { facilityId, year: 2027, lengthM: 60, sealantClass: 'silicone-self-levelling' }),
  );
  await store.addScenario({ id: 's', name: 'Plan', note: '', inputs: sampleInputs(), createdAt: '2026-07-01' });
  await store.writeProgram('s', sampleProgram(works));
  await store.close();
});
afterAll(() => rmSync(data, { recursive: true, force: true }));

function plan(content: unknown): string {
  writeFileSync(at('nights.json'), typeof content === 'string' ? content : JSON.stringify(content));
  return at('nights.json');
}
const windows = sampleRules().windows.map((window) => ({ ...window, to: '2027-05-10' }));
const rules = sampleRules({ noticeDays: 0, leastChance: 0, windows });
const closures = (...args: string[]) => run('closures', '--data', data, ...args);

test('a plan from a file is stored, scheduled and told; by its id it is scheduled again', async () => {
  const { code, out } = await closures('--plan', plan({ name: 'Nights', rules }), '--json');
  expect(code).toBe(0);
  const schedule = JSON.parse(out) as Schedule;
  expect([...Compile(ScheduleSchema).Errors(schedule)]).toEqual([]);
  expect(schedule.closures.length).toBeGreaterThan(0);
  const again = await closures('--plan', schedule.planId);
  expect(again.code).toBe(0);
  expect(again.out).toMatch(/^Plan .*: \d+ closures? of /m);
  expect(again.out).toContain('reserves used: not reckoned. No weather record is near enough to judge by.');
  expect(again.out).toMatch(/^ {2}2027-\d\d-\d\d 23:00 to 05:00 {2}/m);
  expect(again.out).toContain("the operator's own procedure and the authority's notice govern");
  for (const name of ['a.ics', 'a.csv', 'a.pdf']) {
    expect((await closures('--plan', schedule.planId, '--out', at(name))).code).toBe(0);
    expect([name, statSync(at(name)).size > 500]).toEqual([name, true]);
  }
  const calendar = new ICAL.Component(ICAL.parse(readFileSync(at('a.ics'), 'utf8')));
  expect(calendar.getAllSubcomponents('vevent')).toHaveLength(schedule.closures.length);
  expect(readFileSync(at('a.pdf')).subarray(0, 5).toString()).toBe('%PDF-');
});

test.each<[string, () => string[], number, RegExp]>([
  ['an unknown id', () => ['--plan', 'none'], 1, /There is no closure plan none; expected the id of one, or a file/],
  ['a file that is not JSON', () => ['--plan', plan('{')], 1, /nights\.json cannot be read as JSON/],
  ['a file without rules', () => ['--plan', plan({ name: 'A' })], 1, /nights\.json: .*rules/],
  [
    'rules that the records speak against',
    () => ['--plan', plan({ name: 'A', rules: { ...rules, scenarioId: 'gone' } })],
    1,
    /scenarioId is gone; expected the id of a scenario/,
  ],
  [
    'an ending that nothing is written for',
    () => ['--plan', 'x', '--out', at('a.docx')],
    2,
    /expected a file that ends/,
  ],
])('%s is refused with what is expected, and nothing is written', async (_, args, code, words) => {
  const answer = await closures(...args());
  expect([answer.code, answer.err]).toEqual([code, expect.stringMatching(words)]);
  expect(existsSync(at('a.docx'))).toBe(false);
});
