import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { run } from './run-command.ts';

let folder: string;
let rows: string;
beforeAll(() => {
  folder = mkdtempSync(path.join(tmpdir(), 'kerfcast-usage-'));
  rows = path.join(folder, 'rows.csv');
  writeFileSync(rows, 'lower,upper\n4,6\n5,\n3,7\n6,8\n');
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const OPTIONS = {
  serve: ['--port', '--host', '--data', '--demo', '--empty'],
  load: ['--kind', '--unit', '--swap', '--dry-run', '--refused', '--json', '--data'],
  fit: ['--lower', '--upper', '--entry', '--weight', '--covariates', '--family', '--prior', '--json'],
  forecast: ['--family', '--json', '--data'],
  budget: ['--json', '--data'],
  program: ['--scenario', '--json', '--out', '--units', '--no-keep', '--data'],
  export: ['--format', '--units', '--out', '--filter', '--data'],
};

describe('help', () => {
  test('of the program names every command and the exit codes', async () => {
    const { code, out } = await run('--help');
    expect(code).toBe(0);
    for (const name of Object.keys(OPTIONS)) expect(out).toMatch(new RegExp(`^  ${name} `, 'm'));
    expect(out).toContain('Exit codes: 0 done, 1 data refused, 2 wrong usage');
  });

  test.each(Object.entries(OPTIONS))('of %s names its options', async (name, options) => {
    const { code, out } = await run(name, '--help');
    expect(code).toBe(0);
    for (const option of options) expect(out).toContain(option);
  });

  test('the version is printed', async () => {
    expect(await run('--version')).toMatchObject({ code: 0, out: expect.stringMatching(/^\d+\.\d+\.\d+\n$/) });
  });
});

describe('wrong usage ends with 2 and says what is wrong', () => {
  test.each([
    [['dig'], /unknown command 'dig'/],
    [['budget', '--colour'], /unknown option '--colour'/],
    [['load'], /missing required argument/],
    [['fit', 'rows.csv'], /required option '--lower/],
    [
      ['fit', 'rows.csv', '--lower', 'a', '--upper', 'b', '--family', 'gauss'],
      /weibull, lognormal, loglogistic, exponential/,
    ],
    [['fit', 'rows.csv', '--lower', 'a', '--upper', 'b', '--prior', 'strong'], /none, default/],
    [['export'], /missing required argument/],
    [['export', 'photos'], /segments, budget, curves/],
    [['export', 'segments', '--units', 'imperial'], /si, us/],
    [['export', 'segments', '--filter', 'colour=red'], /colour.*Known: district, /],
    [['export', 'segments', '--filter', 'minAgeYears=old'], /minAgeYears/],
    [['export', 'segments', '--filter', 'district'], /not name=value/],
    [['load', 'nowhere.csv'], /nowhere\.csv is not there; expected a file to load/],
    [['load', tmpdir()], /is not a file/],
    [['load', 'a.csv', '--kind', 'photos'], /facilities, segments, seals/],
    [['load', 'a.csv', '--unit', 'widthMm=furlong'], /unit of widthMm is furlong; expected one of mm, /],
    [['serve', '--port', '123456'], /port is 123456; expected a whole number from 0 to 65535/],
    [['serve', '--port', 'http'], /port is http/],
    [
      ['serve', '--host', '0.0.0.0'],
      /host is 0\.0\.0\.0; expected 127\.0\.0\.1\. .*no sign-in.* answers this computer only/,
    ],
    [['serve', '--host', '::'], /host is ::; expected 127\.0\.0\.1/],
    [['serve', '--host', '192.168.1.5'], /host is 192\.168\.1\.5/],
    [['serve', '--host', 'localhost.evil.example'], /host is localhost\.evil\.example/],
  ])('%j', async (args, says) => {
    const { code, out, err } = await run(...args, ...(args[0] === 'fit' || args.length < 2 ? [] : ['--data', folder]));
    expect([code, out]).toEqual([2, '']);
    expect(err).toMatch(says);
  });
});

describe('the built program', () => {
  const spawned = (...args: string[]) =>
    spawnSync(process.execPath, ['dist/server/cli/main.js', ...args], { encoding: 'utf8', timeout: 60_000 });

  test('refuses to listen beyond this computer, before anything is opened', () => {
    const data = path.join(folder, 'untouched');
    const { status, stdout, stderr } = spawned('serve', '--host', '0.0.0.0', '--data', data);
    expect([status, stdout]).toEqual([2, '']);
    expect(stderr).toContain('host is 0.0.0.0; expected 127.0.0.1.');
  });

  test('prints JSON alone on standard output, and ends with the code of the command', () => {
    const { status, stdout } = spawned('fit', rows, '--lower', 'lower', '--upper', 'upper', '--json');
    expect(status).toBe(0);
    expect(JSON.parse(stdout)).toMatchObject({ family: 'weibull', observations: 4, failures: 3 });
    const refused = spawned('fit', rows, '--lower', 'lower', '--upper', 'nowhere');
    expect([refused.status, refused.stdout]).toEqual([1, '']);
    expect(refused.stderr).toMatch(/rows\.csv row 1, column nowhere is missing; expected one column of that name/);
  });
});
