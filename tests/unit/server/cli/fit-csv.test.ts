import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Compile } from 'typebox/compile';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { type FitCsvOptions, fitCsv } from '../../../../server/cli/fit-csv.ts';
import { InputRefused } from '../../../../server/cli/input-refused.ts';
import { FitReportSchema } from '../../../../server/schemas/model.ts';
import { aftCases } from '../../../reference/survival/read.ts';

let folder = '';
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'kerfcast-fit-'));
});
afterAll(() => rm(folder, { recursive: true }));

async function fitText(text: string, options: Partial<FitCsvOptions> = {}) {
  const file = join(folder, 'rows.csv');
  await writeFile(file, text);
  return fitCsv({ file, lower: 'lower', upper: 'upper', covariates: [], family: 'weibull', prior: 'none', ...options });
}

const refusal = (promise: Promise<unknown>): Promise<InputRefused> =>
  promise.then(
    () => Promise.reject(new Error('expected a refusal')),
    (error: unknown) => (error instanceof InputRefused ? error : Promise.reject(error)),
  );

const reference = (name: string) => {
  const found = aftCases.find((one) => one.name === name);
  if (!found) throw new Error(`no reference ${name}`);
  return found;
};

const csvOf = ({ rows }: ReturnType<typeof reference>): string => {
  const columns = Object.keys(rows[0]);
  return [columns.join(','), ...rows.map((row) => columns.map((name) => row[name] ?? '').join(','))].join('\n');
};

describe('agrees with the R package survival, 3.5-3, from the same rows in a file', () => {
  for (const name of ['cracks', 'turbine', 'lung']) {
    const expected = reference(name);
    for (const one of expected.fits) {
      test(`${name}, ${one.dist}`, async () => {
        const report = await fitText(csvOf(expected), {
          weight: 'weight',
          covariates: expected.covariates,
          family: one.dist,
        });
        expect(Compile(FitReportSchema).Check(report)).toBe(true);
        expect(Object.keys(report.coefficients)).toEqual(Object.keys(one.coefficients));
        for (const [key, value] of Object.entries(one.coefficients))
          expect(Math.abs(report.coefficients[key] - value)).toBeLessThan(1e-6 * Math.abs(value));
        for (const [key, value] of Object.entries(one.standardErrors)) {
          const found = report.standardErrors[key === 'Log(scale)' ? 'logScale' : key];
          expect(Math.abs((found ?? 0) - value)).toBeLessThan(2e-6 * value);
        }
        expect('logScale' in report.standardErrors).toBe(one.dist !== 'exponential');
        expect(report.logLikelihood).toBeCloseTo(one.logLik, 7);
        expect(report.fitSeconds).toBeGreaterThan(0);
      });
    }
  }
});

test('a column of text becomes 0/1 columns against its first level', async () => {
  const text =
    'lower,upper,base\n4,6,stabilised\n5,,granular\n3,7,granular\n6,,stabilised\n2,3,granular\n5,8,unknown\n';
  const named = await fitText(text, { covariates: ['base'], prior: 'default' });
  expect(Object.keys(named.coefficients)).toEqual(['(Intercept)', 'base=stabilised', 'base=unknown']);
  const coded = 'lower,upper,s,u\n4,6,1,0\n5,,0,0\n3,7,0,0\n6,,1,0\n2,3,0,0\n5,8,0,1\n';
  const byHand = await fitText(coded, { covariates: ['s', 'u'], prior: 'default' });
  expect(named.logLikelihood).toBe(byHand.logLikelihood);
});

test('semicolons, decimal commas, a byte order mark, blank lines and CRLF are read', async () => {
  const plain = await fitText('lower,upper\n4.5,6\n5,\n3,7.25\n6.5,8\n');
  const spread = await fitText('\uFEFFlower;upper\r\n4,5;6\r\n\r\n5;\r\n3;7,25\r\n6,5;8\r\n');
  expect({ ...spread, fitSeconds: 0 }).toEqual({ ...plain, fitSeconds: 0 });
});

test('an entry column is delayed entry, and an empty lower cell then means since entry', async () => {
  const stated = await fitText('lower,upper,since\n3,5,3\n6,9,3\n5,7,5\n11,,5\n8,10,8\n12,,10\n', { entry: 'since' });
  const open = await fitText('lower,upper,since\n,5,3\n6,9,3\n,7,5\n11,,5\n,10,8\n12,,10\n', { entry: 'since' });
  const ignored = await fitText('lower,upper,since\n3,5,3\n6,9,3\n5,7,5\n11,,5\n8,10,8\n12,,10\n');
  expect(open.logLikelihood).toBe(stated.logLikelihood);
  expect(ignored.coefficients['(Intercept)']).not.toBeCloseTo(stated.coefficients['(Intercept)'], 3);
});

test('a dropped covariate keeps its place with 0, has no standard error and is named', async () => {
  const report = await fitText('lower,upper,a,b\n4,6,1,2\n5,,2,4\n3,7,3,6\n6,8,4,8\n2,3,2,4\n5,8,3,6\n', {
    covariates: ['a', 'b'],
  });
  expect(report.coefficients.b).toBe(0);
  expect(report.standardErrors.b).toBeNull();
  expect(report.warnings.join(' ')).toMatch(/b is left out/);
});

test('a file without failures gives finite numbers and says that they are no estimate', async () => {
  for (const prior of ['none', 'default'] as const) {
    const report = await fitText('lower,upper\n4,\n5,\n', { prior });
    expect(report).toMatchObject({ status: 'no-events', converged: false, covariance: null, failures: 0 });
    expect(Object.values(report.coefficients).every(Number.isFinite)).toBe(true);
  }
});

describe('refusals name file, row, field, value and what is allowed', () => {
  const cases: [string, string, Partial<FitCsvOptions>, RegExp][] = [
    [
      'a word for an age',
      'lower,upper\n4,6\nfour,6\n',
      {},
      /rows\.csv row 3, lower is four; expected an age of 0 or more/,
    ],
    ['a negative age', 'lower,upper\n-1,6\n', {}, /row 2, lower is -1; expected an age of 0 or more/],
    ['NaN', 'lower,upper\n1,NaN\n', {}, /row 2, upper is NaN.*Leave the cell empty/],
    ['bounds the wrong way round', 'lower,upper\n7,6\n', {}, /row 2, upper is 6; expected at least 7/],
    ['a row that says nothing', 'lower,upper\n4,6\n,\n,x\n', {}, /row 4, upper is x/],
    ['no bound at all', 'lower,upper,a\n4,6,1\n,,1\n', {}, /row 3, lower and upper is empty; expected a bound/],
    [
      'lower below entry',
      'lower,upper,e\n4,6,5\n',
      { entry: 'e' },
      /row 2, lower is 4; expected at least the entry age 5/,
    ],
    ['a weight of 0', 'lower,upper,w\n4,6,0\n', { weight: 'w' }, /row 2, w is 0; expected a weight above 0/],
    ['failed at age 0', 'lower,upper\n0,0\n', {}, /row 2, upper is 0; expected an age above 0/],
    [
      'an empty covariate',
      'lower,upper,x\n4,6,1\n5,6,\n',
      { covariates: ['x'] },
      /row 3, x is empty; expected a value/,
    ],
    [
      'one word among numbers',
      'lower,upper,x\n4,6,1\n5,6,wide\n',
      { covariates: ['x'] },
      /row 3, x is wide; expected a number/,
    ],
    ['a covariate twice', 'lower,upper,x\n4,6,1\n', { covariates: ['x', 'x'] }, /covariate x is given twice/],
    [
      'text with one value',
      'lower,upper,x\n4,6,a\n',
      { covariates: ['x'] },
      /column x is text with 1 different value;/,
    ],
    ['a missing column', 'lower,top\n4,6\n', {}, /row 1, column upper is missing; expected .* lower, top/],
    ['a row too long', 'lower,upper\n4,6,7\n', {}, /row 2, row is 3 cells long; expected 2 cells/],
    ['no rows', 'lower,upper\n', {}, /row 2, row is missing/],
    ['an open quote', 'lower,upper\n"4,6\n', {}, /expected cells set off by commas/],
    ['an empty file', '', {}, /header is empty/],
  ];
  for (const [name, text, options, message] of cases) {
    test(name, async () => {
      const error = await refusal(fitText(text, options));
      expect(error.message).toMatch(message);
      expect(error.file).toMatch(/rows\.csv$/);
    });
  }

  test('a file that is not there', async () => {
    const error = await refusal(
      fitCsv({
        file: join(folder, 'no.csv'),
        lower: 'a',
        upper: 'b',
        covariates: [],
        family: 'weibull',
        prior: 'none',
      }),
    );
    expect(error.message).toMatch(/no\.csv, the file is not there; expected a CSV file/);
  });
});
