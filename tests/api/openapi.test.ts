import { readdirSync, readFileSync } from 'node:fs';
import path from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { PROBLEMS } from '../../server/problems.ts';
import { getJson } from './demo-app.ts';
import { startApp, type TestApp } from './start-app.ts';

interface Operation {
  responses: Record<string, { content?: Record<string, { schema: object }> }>;
}
interface Document {
  info: { description: string };
  paths: Record<string, Record<string, Operation>>;
}

let server: TestApp;
let document: Document;
beforeAll(async () => {
  server = await startApp();
  document = await getJson(server, '/api/docs/json');
});
afterAll(() => server.close());

const root = path.resolve(import.meta.dirname, '../..');
const sources = readdirSync(path.join(root, 'server'), { recursive: true, encoding: 'utf8' })
  .filter((name) => name.endsWith('.ts'))
  .map((name) => ({ name, text: readFileSync(path.join(root, 'server', name), 'utf8') }));

const operations = () =>
  Object.entries(document.paths).flatMap(([url, methods]) =>
    Object.entries(methods).map(([method, operation]) => ({ name: `${method} ${url}`, operation })),
  );

test('the document lists every route that the sources declare', () => {
  const declared = sources
    .filter(({ name }) => name.startsWith('routes') && !name.endsWith('web.ts'))
    .flatMap(({ text }) => [...text.matchAll(/\bapp\.(get|put|post|patch|delete)\(\s*'([^']+)'/g)])
    .map(([, method, url]) => `${method} /api${url.replaceAll(/:(\w+)/g, '{$1}')}`);
  expect(declared.length).toBeGreaterThan(25);
  expect(
    operations()
      .map(({ name }) => name)
      .sort(),
  ).toEqual(declared.sort());
});

test('every route has a schema for its success, and every refusal is a problem', () => {
  for (const { name, operation } of operations()) {
    const answers = Object.entries(operation.responses);
    const good = answers.filter(([status]) => status.startsWith('2') && status !== '204');
    expect([name, good.length > 0 || '204' in operation.responses]).toEqual([name, true]);
    for (const [, { content }] of good) {
      expect([name, Object.values(content ?? {}).every(({ schema }) => Object.keys(schema).length > 0)]).toEqual([
        name,
        true,
      ]);
    }
    for (const [status, { content }] of answers.filter(([each]) => each.startsWith('4'))) {
      expect([name, status, Object.keys(content ?? {})]).toEqual([name, status, ['application/problem+json']]);
    }
  }
});

test.each(Object.entries(PROBLEMS))('problem code %s is documented and used', (code, { status, title }) => {
  expect(document.info.description).toContain(`| \`${code}\` | ${status} | ${title} |`);
  const users = sources.filter(({ name, text }) => name !== 'problems.ts' && text.includes(`'${code}'`));
  expect(users.map(({ name }) => name)).not.toEqual([]);
});

test('no code is used that the list does not have', () => {
  const used = sources.flatMap(({ text }) =>
    [...text.matchAll(/(?:ProblemError|\bproblem)\(\s*'([^']+)'/g)].map(([, code]) => code),
  );
  expect(used.length).toBeGreaterThan(10);
  expect(used.filter((code) => !(code in PROBLEMS))).toEqual([]);
});
