import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { Compile } from 'typebox/compile';
import { afterAll, beforeAll, expect, test } from 'vitest';
import type { ModelReport } from '../../../../server/schemas/model.ts';
import { type ModelVersions, ModelVersionsSchema } from '../../../../server/schemas/models.ts';
import { SMALL_AGENCY } from '../../../api/small-agency.ts';
import { run } from './run-command.ts';

let data: string;
beforeAll(async () => {
  data = mkdtempSync(path.join(tmpdir(), 'kerfcast-models-'));
  const files = Object.entries(SMALL_AGENCY).map(([name, content]) => {
    writeFileSync(path.join(data, name), content);
    return path.join(data, name);
  });
  await run('load', ...files, '--data', data);
});
afterAll(() => rmSync(data, { recursive: true, force: true }));

const models = (...args: string[]) => run('models', '--data', data, ...args);

test('models are listed, the one in use marked, and an older one is adopted', async () => {
  expect((await models()).out).toMatch(/No model yet/);
  await run('forecast', '--data', data);
  await run('forecast', '--data', data, '--family', 'lognormal');
  const { out, code } = await models('--json');
  expect(code).toBe(0);
  const listed = JSON.parse(out) as ModelVersions;
  expect([...Compile(ModelVersionsSchema).Errors(listed)]).toEqual([]);
  expect(listed.versions.map(({ version, family, current }) => [version, family, current])).toEqual([
    [2, 'lognormal', true],
    [1, 'weibull', false],
  ]);
  const adopted = await models('--adopt', '1');
  expect(adopted.code).toBe(0);
  expect(adopted.out).toMatch(
    /^\* 1 {2}\d{4}-\d\d-\d\d {2}weibull, failed from 10 %, without damaged shares; 3 seals/m,
  );
  expect(JSON.parse((await run('budget', '--data', data, '--json')).out).modelVersion).toBe(1);
});

test('a version that there is not is refused, and one that is no number is wrong usage', async () => {
  const missing = await models('--adopt', '99');
  expect([missing.code, missing.err]).toEqual([1, expect.stringMatching(/No model version 99/)]);
  expect((await models('--adopt', 'last')).code).toBe(2);
});

test('a forecast says whether it uses damaged shares, and why', async () => {
  const { out } = await run('forecast', '--data', data, '--json');
  const { condition } = JSON.parse(out) as ModelReport;
  // Five shares above the detection limit: too few to learn from.
  expect(condition).toMatchObject({ used: false, readings: 6, exponent: null });
  expect(condition?.sentence).toMatch(/too few/);
  expect((await run('forecast', '--data', data)).out).toMatch(/^Damaged shares are too few/m);
});
