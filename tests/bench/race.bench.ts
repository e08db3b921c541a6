import { expect, test } from 'vitest';
import type { AftData, AftFit } from '../../analytics/survival/aft.ts';
import { compress } from '../../analytics/survival/compress.ts';
import { fitAft } from '../../analytics/survival/fit-aft.ts';
import { twoThreads } from '../../server/jobs/sum-threads.ts';
import { type Figure, keepFigures } from './figures.ts';
import { RACE_ROWS, raceRows } from './race-rows.ts';
import { findSurvreg, runSurvreg, type SurvregRun, writeRows } from './survreg.ts';

/** The two take turns, and the least time of each counts: other programs on the machine can only add to it. */
const TURNS = 3;
const LARGEST_DIFFERENCE = 1e-6;

interface OurRun {
  readonly fit: AftFit;
  readonly seconds: number;
  readonly cpuSeconds: number;
}

function ourRun(data: AftData): OurRun {
  const [began, cpu] = [performance.now(), process.cpuUsage()];
  const fit = fitAft(data, { family: 'weibull', prior: null, threads: twoThreads() });
  const seconds = (performance.now() - began) / 1000;
  const { user, system } = process.cpuUsage(cpu);
  return { fit, seconds, cpuSeconds: (user + system) / 1e6 };
}

const least = <T extends { readonly seconds: number }>(runs: readonly T[]): T =>
  runs.reduce((best, run) => (run.seconds < best.seconds ? run : best));

const numbersOf = ({ logLikelihood, coefficients, scale }: AftFit | SurvregRun): number[] => [
  logLikelihood,
  ...coefficients,
  scale,
];

/** Largest relative difference of log-likelihood, coefficients and scale. */
const difference = (ours: AftFit, theirs: SurvregRun): number =>
  Math.max(...numbersOf(theirs).map((value, j) => Math.abs(numbersOf(ours)[j] - value) / Math.abs(value)));

function printNumbers(kind: string, ours: AftFit, theirs: SurvregRun | null): void {
  const names = ['log-likelihood', ...ours.names, 'scale'];
  const row = (name: string, j: number) =>
    `  ${name.padEnd(16)} ${numbersOf(ours)[j].toPrecision(13).padStart(20)} ${theirs ? numbersOf(theirs)[j].toPrecision(13).padStart(20) : ''}`;
  process.stdout.write(
    `\n${kind}: ours${theirs ? `, and survreg of survival ${theirs.version}` : ''}\n${names.map(row).join('\n')}\n`,
  );
}

/** The rows that are left when a statistician merges identical ones before the fit. */
function merged(data: AftData): AftData {
  const { patternStart, covariates, ...rows } = compress(data);
  const spread = new Float64Array(4 * rows.lower.length);
  for (let k = 0; k + 1 < patternStart.length; k++)
    for (let i = patternStart[k]; i < patternStart[k + 1]; i++)
      spread.set(covariates.subarray(4 * k, 4 * k + 4), 4 * i);
  return { ...rows, covariates: spread };
}

function race(kind: 'as recorded' | 'distinct', hasRival: boolean): Figure[] {
  const data = raceRows(kind);
  const file = hasRival ? writeRows(data, `race-${kind.replace(' ', '-')}`) : '';
  const [ours, theirs]: [OurRun[], SurvregRun[]] = [[], []];
  for (let turn = 0; turn < TURNS; turn++) {
    ours.push(ourRun(data));
    if (hasRival) theirs.push(runSurvreg(file));
  }
  const [we, they] = [least(ours), hasRival ? least(theirs) : null];
  printNumbers(`${RACE_ROWS} rows, ${kind}`, we.fit, they);
  const figures: Figure[] = [
    { what: `${kind}: rows`, value: RACE_ROWS, unit: '' },
    { what: `${kind}: distinct rows`, value: compress(data).lower.length, unit: '' },
    { what: `${kind}: our fit`, value: we.seconds, unit: 's' },
    { what: `${kind}: our fit, processor time`, value: we.cpuSeconds, unit: 's' },
  ];
  if (!they) return figures;
  expect(difference(we.fit, they)).toBeLessThan(LARGEST_DIFFERENCE);
  figures.push(
    { what: `${kind}: survreg`, value: they.seconds, unit: 's' },
    { what: `${kind}: survreg, processor time`, value: they.cpuSeconds, unit: 's' },
    { what: `${kind}: survreg takes times as long`, value: they.seconds / we.seconds, unit: '', target: 'at least 10' },
    { what: `${kind}: largest relative difference of the two`, value: difference(we.fit, they), unit: '' },
  );
  if (kind === 'distinct') return figures;
  const onMerged = runSurvreg(writeRows(merged(data), 'race-merged'));
  const what = `${kind}: survreg on rows merged beforehand, times as long`;
  return [...figures, { what, value: onMerged.seconds / we.seconds, unit: '' }];
}

test('a Weibull fit with four covariates against survreg', async () => {
  const hasRival = findSurvreg();
  if (!hasRival)
    process.stdout.write(
      '\nR with its package survival is not here (Debian: r-base-core, r-cran-survival), so there is no race.\n',
    );
  await keepFigures('race', [...race('as recorded', hasRival), ...race('distinct', hasRival)]);
});
