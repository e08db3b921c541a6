import { spawnSync } from 'node:child_process';
import { mkdirSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import type { AftData } from '../../analytics/survival/aft.ts';
import { BENCH_FOLDER } from './figures.ts';

/** What survreg of R's package survival makes of some rows. */
export interface SurvregRun {
  readonly seconds: number;
  readonly cpuSeconds: number;
  readonly steps: number;
  readonly logLikelihood: number;
  /** Intercept first. */ readonly coefficients: readonly number[];
  readonly scale: number;
  readonly version: string;
}

const PACKAGES = ['r-base-core', 'r-cran-survival'];
const works = (command: string, args: readonly string[]): boolean => spawnSync(command, args).status === 0;
const hasSurvreg = (): boolean => works('Rscript', ['-e', 'library(survival)']);

/** Whether survreg can run here; on Debian and its relatives it is installed where that is allowed. */
export function findSurvreg(): boolean {
  if (hasSurvreg()) return true;
  if (process.getuid?.() !== 0 || !works('apt-get', ['--version'])) return false;
  process.stdout.write(`\nInstalling ${PACKAGES.join(' and ')} for the comparison\n`);
  const env = { ...process.env, DEBIAN_FRONTEND: 'noninteractive' };
  for (const args of [['update'], ['install', '-y', '--no-install-recommends', ...PACKAGES]])
    spawnSync('apt-get', args, { env, stdio: 'ignore' });
  return hasSurvreg();
}

/** Writes the rows for `runSurvreg`. @returns the file */
export function writeRows(data: AftData, name: string): string {
  const rows = data.lower.length;
  const table = new Float64Array(7 * rows);
  table.set(data.lower, 0);
  table.set(data.upper, rows);
  table.set(data.weight, 2 * rows);
  for (let i = 0; i < rows; i++) for (let j = 0; j < 4; j++) table[(3 + j) * rows + i] = data.covariates[4 * i + j];
  mkdirSync(BENCH_FOLDER, { recursive: true });
  const file = path.join(BENCH_FOLDER, `${name}.bin`);
  writeFileSync(file, new Uint8Array(table.buffer));
  return file;
}

/** @throws Error with what R said where it did not fit */
export function runSurvreg(file: string): SurvregRun {
  const { status, stdout, stderr } = spawnSync('Rscript', ['tests/bench/survreg.R', file], { encoding: 'utf8' });
  if (status !== 0) throw new Error(`survreg did not fit ${file}: ${stderr}`);
  const words = stdout.trim().split(/\s+/);
  const [seconds, cpuSeconds, steps, logLikelihood, ...rest] = words.slice(0, -1).map(Number);
  const version = words[words.length - 1];
  return { seconds, cpuSeconds, steps, logLikelihood, coefficients: rest.slice(0, -1), scale: rest[5], version };
}
