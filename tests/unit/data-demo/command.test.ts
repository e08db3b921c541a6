import { existsSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { PassThrough } from 'node:stream';
import { afterAll, expect, test } from 'vitest';
import { runMake } from '../../../data-demo/make.ts';

const folder = mkdtempSync(join(tmpdir(), 'demo-command-'));
afterAll(() => rmSync(folder, { recursive: true }));

async function run(...args: string[]) {
  const [out, err] = [new PassThrough(), new PassThrough()];
  const code = await runMake(args, out, err);
  return { code, out: String(out.read() ?? ''), err: String(err.read() ?? '') };
}

test('--help prints how to use it and writes nothing', async () => {
  const { code, out } = await run('--help');
  expect(code).toBe(0);
  expect(out).toContain('--segments N');
});

test('a missing, unknown or impossible option answers 2 and says which', async () => {
  expect(await run()).toMatchObject({ code: 2, err: expect.stringContaining('--segments and --out') });
  expect(await run('--segments', '500')).toMatchObject({ code: 2 });
  expect(await run('--size', '500')).toMatchObject({ code: 2, err: expect.stringContaining('--size') });
  expect(await run('--segments', 'many', '--out', folder)).toMatchObject({
    code: 2,
    err: expect.stringContaining('segments is NaN'),
  });
  expect(await run('--segments', '500', '--out', folder, '--seed', 'x')).toMatchObject({ code: 2 });
});

test('it writes the demo and says so', async () => {
  const { code, out } = await run('--segments', '300', '--out', join(folder, 'made'), '--seed', '2');
  expect(code).toBe(0);
  expect(out).toContain('Wrote 300 segments');
  expect(existsSync(join(folder, 'made', 'segments.geojson'))).toBe(true);
});

test('a folder that cannot be made answers 1', async () => {
  writeFileSync(join(folder, 'file'), '');
  expect(await run('--segments', '300', '--out', join(folder, 'file', 'in-it'))).toMatchObject({ code: 1 });
});
