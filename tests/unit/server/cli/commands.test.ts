import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { Compile } from 'typebox/compile';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { BudgetSchema } from '../../../../server/schemas/budget.ts';
import { FitReportSchema, ModelReportSchema } from '../../../../server/schemas/model.ts';
import { SEALS_CSV, SMALL_AGENCY } from '../../../api/small-agency.ts';
import { run } from './run-command.ts';

let folder: string;
let data: string;
let files: string[];
beforeEach(() => {
  folder = mkdtempSync(path.join(tmpdir(), 'kerfcast-cli-'));
  data = path.join(folder, 'data');
  files = Object.entries(SMALL_AGENCY).map(([name, content]) => written(name, content));
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

function written(name: string, content: string): string {
  const file = path.join(folder, name);
  writeFileSync(file, content);
  return file;
}
const load = (...args: string[]) => run('load', ...files, '--data', data, ...args);

describe('load', () => {
  test('writes everything, and the second time finds it as before', async () => {
    const first = await load('--json');
    expect(first.code).toBe(0);
    const { result, previews } = JSON.parse(first.out);
    expect(result.map((line: { inserted: number }) => line.inserted)).toEqual([1, 3, 3, 6, 2]);
    expect(previews).toHaveLength(5);
    const second = JSON.parse((await load('--json')).out);
    expect(second.result.map((line: { unchanged: number }) => line.unchanged)).toEqual([1, 3, 3, 6, 2]);
  });

  test('as a dry run says what would happen and writes nothing', async () => {
    const dry = await load('--dry-run', '--json');
    expect(dry.code).toBe(0);
    expect(JSON.parse(dry.out)).toMatchObject({ result: null, previews: expect.any(Array) });
    expect((await run('export', 'segments', '--data', data)).out.trim().split('\n')).toHaveLength(1);
  });

  test('ends with 1 when a row is refused, loads the others, and writes the refused ones with their reason', async () => {
    written('seals.csv', SEALS_CSV.replace('2012-06-10', '2012-02-30'));
    const { code, out } = await load('--refused', path.join(folder, 'refused'));
    expect(code).toBe(1);
    expect(out).toContain('seals.csv: seals, 2 accepted, 1 refused');
    expect(out).toContain('seals.csv row 2, installed is 2012-02-30; expected');
    expect(readFileSync(path.join(folder, 'refused', 'seals-refused.csv'), 'utf8')).toContain('2012-02-30');
    expect((await run('export', 'segments', '--data', data)).out.trim().split('\n')).toHaveLength(4);
  });

  test('ends with 1 when it cannot tell what a file holds', async () => {
    const { code, out } = await run('load', written('diary.csv', 'dear,diary\n1,2\n'), '--data', data);
    expect(code).toBe(1);
    expect(out).toContain('diary.csv: not read');
  });

  test('takes the folder from the environment', async () => {
    process.env.KERFCAST_DATA = data;
    try {
      expect((await run('load', ...files)).code).toBe(0);
    } finally {
      delete process.env.KERFCAST_DATA;
    }
    expect((await run('export', 'segments', '--data', data)).out).toContain('S3');
  });
});

describe('forecast and budget', () => {
  test.each([['forecast'], ['budget'], ['export', 'budget'], ['export', 'curves']])(
    '%s %s before there is anything ends with 1 and names the next step',
    async (...words) => {
      const { code, out, err } = await run(...words, '--data', data);
      expect([code, out]).toEqual([1, '']);
      expect(err).toContain('First load records (kerfcast load FILE...)');
    },
  );

  test('print the model and the budget as JSON that the schemas know', async () => {
    await load();
    expect((await run('budget', '--data', data)).code).toBe(1); // loaded, but not forecast
    const forecast = await run('forecast', '--data', data, '--family', 'lognormal', '--json');
    expect(forecast.code).toBe(0);
    const report = JSON.parse(forecast.out);
    expect([...Compile(ModelReportSchema).Errors(report)]).toEqual([]);
    expect(report.fit.family).toBe('lognormal');
    const budget = await run('budget', '--data', data, '--json');
    expect(budget.code).toBe(0);
    expect([...Compile(BudgetSchema).Errors(JSON.parse(budget.out))]).toEqual([]);
  });

  test('print lines that a person can read, with units and intervals', async () => {
    await load();
    const forecast = await run('forecast', '--data', data);
    expect(forecast.out).toMatch(/Fit: weibull, status \S+, 3 seals, 1 failures/);
    expect(forecast.out).toMatch(/silicone-self-levelling: half last [\d.]+ years \(80 % interval [\d.]+ to [\d.]+/);
    const { out } = await run('budget', '--data', data);
    expect(out).toContain('What falls due, USD, model version 1 (median, 80 % interval)');
    expect(out.match(/^ {2}20\d\d {2}[\d.]+ km \([\d.]+ to [\d.]+\) {2}[\d,]+ \([\d,]+ to [\d,]+\)$/gm)?.length).toBe(
      JSON.parse((await run('budget', '--data', data, '--json')).out).years.length,
    );
  });
});

describe('export', () => {
  test('writes the same bytes to a file and to standard output', async () => {
    await load();
    await run('forecast', '--data', data);
    for (const words of [['segments'], ['segments', '--format', 'geojson'], ['budget'], ['curves']]) {
      const printed = await run('export', ...words, '--data', data);
      const file = path.join(folder, 'export');
      const kept = await run('export', ...words, '--data', data, '--out', file);
      expect([printed.code, kept.code, kept.out]).toEqual([0, 0, '']);
      expect(readFileSync(file, 'utf8')).toBe(printed.out);
      expect(printed.out.length).toBeGreaterThan(100);
    }
  });

  test('keeps to the filter and to the units', async () => {
    await load();
    const us = await run(
      'export',
      'segments',
      '--data',
      data,
      '--units',
      'us',
      '--filter',
      'search=S2',
      'district=North',
    );
    const [header, line, ...rest] = us.out.trim().split('\n');
    const cell = (name: string) => line.split(',')[header.split(',').indexOf(name)];
    expect(rest).toEqual([]);
    expect(cell('id')).toBe('S2');
    expect(Number(cell('widthIn'))).toBeCloseTo(10 / 25.4, 4); // 1 in = 25.4 mm
    expect(Number(cell('sealedLengthFt'))).toBeCloseTo(640 / 0.3048, 2); // 1 ft = 0.3048 m
    const geojson = JSON.parse(
      (await run('export', 'segments', '--format', 'geojson', '--data', data, '--filter', 'search=S2')).out,
    );
    expect(geojson.features.map(({ id }: { id: string }) => id)).toEqual(['S2']);
  });
});

test('fit prints every figure that a statistician checks', async () => {
  const file = written('rows.csv', 'from,to,base,w\n4,6,a,1\n5,,b,2\n3,7,a,1\n6,8,b,1\n2,3,a,1\n7,,b,1\n');
  const { code, out } = await run(
    ...['fit', file, '--lower', 'from', '--upper', 'to', '--weight', 'w', '--covariates', 'base', '--json'],
  );
  expect(code).toBe(0);
  const report = JSON.parse(out);
  expect([...Compile(FitReportSchema).Errors(report)]).toEqual([]);
  expect(Object.keys(report)).toEqual([
    'family',
    'coefficients',
    'scale',
    'logLikelihood',
    'standardErrors',
    'covariance',
    'observations',
    'failures',
    'iterations',
    'converged',
    'status',
    'warnings',
    'fitSeconds',
  ]);
  expect(Object.keys(report.coefficients)).toEqual(['(Intercept)', 'base=b']);
  expect(Object.keys(report.standardErrors)).toEqual(['(Intercept)', 'base=b', 'logScale']);
  expect(report.covariance).toHaveLength(3);
  const plain = await run('fit', file, '--lower', 'from', '--upper', 'to', '--weight', 'w', '--covariates', 'base');
  expect(plain.out).toContain('log-likelihood');
  expect(plain.out).toContain('base=b');
});
