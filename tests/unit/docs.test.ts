import { execFile } from 'node:child_process';
import { existsSync, readdirSync, readFileSync, statSync } from 'node:fs';
import path from 'node:path';
import { promisify } from 'node:util';
import { parseSync } from 'vite';
import { describe, expect, test } from 'vitest';
import { weibullLife } from '../../analytics/forecast/age-replacement.ts';
import { damagePointer } from '../../analytics/forecast/damage-rule.ts';
import { seasonalOpeningMm } from '../../analytics/joint/movement.ts';
import { classPrior, priorWorthFailures } from '../../analytics/survival/covariate-prior.ts';
import { DEFAULT_SETTINGS } from '../../server/store/sqlite/settings.ts';
import { load, sentences } from './server/import/agency-files.ts';

const root = path.resolve(import.meta.dirname, '../..');
const read = (file: string) => readFileSync(path.join(root, file), 'utf8');
const DOCUMENTS = { 'README.md': read('README.md'), 'DEVELOPERS.md': read('DEVELOPERS.md') };
const documents = Object.entries(DOCUMENTS);
const README = DOCUMENTS['README.md'];

const blocks = (text: string, language: string): string[] =>
  [...text.matchAll(/^```(\w+)\n(.*?)^```/gms)].flatMap(([, name, body]) => (name === language ? [body] : []));
const shellLines = documents.flatMap(([, text]) => blocks(text, 'sh').flatMap((block) => block.trim().split('\n')));

/** Names of files of ours in code marks, as far as they are whole paths. */
const pathsIn = (text: string): string[] =>
  [...text.matchAll(/`((?:analytics|server|web|data-demo|tests|\.github)\/[\w./-]*)`/g)].map(([, name]) => name);

describe('what the documents name is there', () => {
  test('every path', () => {
    const missing = documents.flatMap(([, text]) => pathsIn(text).filter((name) => !existsSync(path.join(root, name))));
    expect(missing).toEqual([]);
    expect(pathsIn(DOCUMENTS['DEVELOPERS.md']).length).toBeGreaterThan(80);
  });

  test('every function on the road of one row, in the file beside it', () => {
    const road = DOCUMENTS['DEVELOPERS.md'].split('## The road of one row')[1].split('\n## ')[0];
    const rows = road.split('\n').filter((line) => line.startsWith('| ') && pathsIn(line).length > 0);
    const wrong = rows.flatMap((line) => {
      const [, , files, functions] = line.split('|');
      const sources = pathsIn(files).map(read).join('\n');
      const names = [...functions.matchAll(/`(\w+)`/g)].map(([, name]) => name);
      return names.filter((name) => !new RegExp(`export .*\\b${name}\\b`).test(sources));
    });
    expect(rows.length).toBeGreaterThan(20);
    expect(wrong).toEqual([]);
  });

  test('every linked file and heading', () => {
    for (const [name, text] of documents) {
      const headings = [...text.matchAll(/^#+ (.+)$/gm)].map(([, heading]) => anchor(heading));
      const links = [...text.matchAll(/\]\(([^)\s]+)\)/g)].map(([, target]) => target);
      const dead = links.filter((target) => {
        if (target.startsWith('http')) return false;
        return target.startsWith('#') ? !headings.includes(target.slice(1)) : !existsSync(path.join(root, target));
      });
      expect(dead, name).toEqual([]);
    }
  });

  test('pictures are used, and light enough for a slow line', () => {
    const folder = path.join(root, '.github/pictures');
    for (const picture of readdirSync(folder)) {
      expect(README).toContain(`.github/pictures/${picture}`);
      expect(statSync(path.join(folder, picture)).size).toBeLessThan(300_000);
    }
  });

  test('every name in the environment is read somewhere', () => {
    const sources = ['server/config.ts', 'server/setup/prepare.mjs', 'web/vite.config.ts'].map(read).join('\n');
    const names = documents.flatMap(([, text]) => text.match(/KERFCAST_\w+/g) ?? []);
    expect(names.filter((name) => !sources.includes(name))).toEqual([]);
  });
});

/** The anchor of a heading, as common readers of Markdown make it. */
const anchor = (heading: string): string =>
  heading
    .toLowerCase()
    .replace(/[^\p{L}\p{N} -]/gu, '')
    .replaceAll(' ', '-');

describe('commands', () => {
  const { scripts } = JSON.parse(read('package.json')) as { scripts: Record<string, string> };
  const help = async (command: string) =>
    (await promisify(execFile)(process.execPath, ['dist/server/cli/main.js', command, '--help'], { cwd: root })).stdout;

  test('every npm script is in package.json', () => {
    const asked = documents.flatMap(([, text]) =>
      [...text.matchAll(/\bnpm (?:run ([\w:]+)|(start|test))\b/g)].map(([, run, plain]) => run ?? plain),
    );
    expect(asked.length).toBeGreaterThan(10);
    expect(asked.filter((name) => !Object.hasOwn(scripts, name))).toEqual([]);
  });

  test('every command and option of the command line is in its help', async () => {
    const lines = shellLines.flatMap((line) => /^npx kerfcast (\w+)(.*)$/.exec(line) ?? []);
    const serve = shellLines.flatMap((line) => /^npm start --(.*)$/.exec(line)?.[1] ?? []);
    const options = [...README.matchAll(/^\| `(--\w+)`/gm)].map(([, option]) => option);
    const asked = new Map<string, string>([['serve', [...serve, ...options].join(' ')]]);
    for (let i = 0; i < lines.length; i += 3)
      asked.set(lines[i + 1], `${asked.get(lines[i + 1]) ?? ''} ${lines[i + 2]}`);
    expect([...asked.keys()].sort()).toEqual([
      'budget',
      'closures',
      'evidence',
      'export',
      'fit',
      'forecast',
      'load',
      'models',
      'program',
      'serve',
    ]);
    const unknown = await Promise.all(
      [...asked].map(async ([command, words]) => {
        const known = await help(command);
        return (words.match(/--[\w-]+/g) ?? []).filter((option) => !known.includes(` ${option}`));
      }),
    );
    expect(unknown.flat()).toEqual([]);
  });

  test('every other command is one of node, npx and curl that the documents mean', () => {
    const known = /^(npm (start|test)\b|npx (kerfcast|vitest) |node --inspect dist\/server\/cli\/main\.js |curl )/;
    expect(shellLines.filter((line) => !known.test(line))).toEqual([]);
  });
});

describe('examples', () => {
  const files = ['facilities', 'seals', 'inspections', 'stations', 'climate', 'unit-costs'].map(
    (name) => `${name}.csv`,
  );
  const contents = {
    ...Object.fromEntries(blocks(README, 'csv').map((block, i) => [files[i], block])),
    'segments.geojson': blocks(README, 'json')[0],
  };

  test('the files load without a refusal, each as what it is', async () => {
    const { previews, store, result } = await load(contents);
    expect(Object.values(previews).flatMap(sentences)).toEqual([]);
    expect(Object.fromEntries(Object.entries(previews).map(([name, { kind }]) => [name, kind]))).toEqual({
      ...Object.fromEntries(files.map((name) => [name, name.replace('.csv', '')])),
      'segments.geojson': 'segments',
    });
    expect(result.map(({ inserted }) => inserted).every((count) => count > 0)).toBe(true);
    const again = await load(contents, {}, store);
    expect(again.result.every(({ inserted, updated }) => inserted + updated === 0)).toBe(true);
  });

  test('every column of them is used', async () => {
    const { previews } = await load(contents);
    const unused = Object.values(previews).flatMap(({ columns }) => columns.filter(({ field }) => field === null));
    expect(unused.map(({ column }) => column)).toEqual([]);
  });

  test('code parses', () => {
    const code = documents.flatMap(([, text]) => blocks(text, 'ts'));
    expect(code.length).toBeGreaterThan(0);
    for (const text of code) expect(parseSync('example.ts', text).errors).toEqual([]);
  });
});

describe('figures to check by hand', () => {
  test('joint movement: 60 ft slab, 42.2 °C', () => {
    const openingMm = seasonalOpeningMm({
      slabLengthM: 18.29,
      restraint: 0.8,
      expansionPerC: 9.9e-6,
      rangeC: 42.2,
      shrinkage: 1e-4,
    });
    expect(README).toContain(`= ${openingMm.toFixed(1)} mm, ${(openingMm / 25.4).toFixed(2)} in`);
  });

  test('a seal of Weibull(3, 18) that is sound at 10 years, and a new one', () => {
    const { survival } = weibullLife(3, 18);
    const percent = (share: number) => `${(100 * share).toFixed(0)} %`;
    expect(README).toContain(
      `= ${percent(1 - survival(15) / survival(10))}; a new one with ${percent(1 - survival(5))}`,
    );
  });

  test('5 % damaged at 6 years', () => {
    const years = Math.exp(damagePointer(6, 0.05, 0.1, { exponent: 3, logSd: 0.4, pairs: 0 }));
    expect(README).toContain(`= ${years.toFixed(1)} years`);
  });

  test('priors and defaults', () => {
    const median = (name: string) => classPrior(name).medianYears;
    expect(README).toContain(`| silicone | ${median('silicone-self-levelling')} years |`);
    expect(README).toContain(`| preformed compression | ${median('preformed-compression')} years |`);
    const hot = ['hot-applied-type-1', 'hot-applied-type-2', 'hot-applied-type-4', 'hot-applied'].map(median);
    expect(median('hot-applied-type-3')).toBe(hot[1]);
    expect(README).toContain(`| ${hot.join(' / ')} years |`);
    expect(README).toContain(`| polysulfide, polyurethane | ${median('polysulfide')} years |`);
    expect(README).toContain(`| not recorded | ${median('unknown')} years |`);
    expect(README).toContain(
      `about ${priorWorthFailures(classPrior('hot-applied')).toFixed(1)} of one observed failure`,
    );
    const { failureThresholdShare, stationLimitKm, openJointCostPerMYear, discountRatePerYear } = DEFAULT_SETTINGS;
    expect(README).toContain(`${failureThresholdShare * 100} % unless you change it`);
    expect(README).toContain(`nearest station within ${stationLimitKm} km`);
    expect(README).toContain(`(${openJointCostPerMYear} a metre unless you change it`);
    expect(README.replaceAll('\n', ' ')).toContain(`r = ${discountRatePerYear * 100} % unless you change it`);
  });
});
