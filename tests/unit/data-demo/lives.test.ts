import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { type DemoTruth, makeDemo } from '../../../data-demo/make.ts';
import { readPeriod } from '../../../server/import/dates.ts';
import { DAMAGE_KINDS } from '../../../server/schemas/words.ts';
import { groupBy, type Row, readFeatures, readTable, without } from './read-demo.ts';

const folder = mkdtempSync(join(tmpdir(), 'demo-lives-'));
let truth: DemoTruth;
let lives: Row[];
let seals: Row[];
let inspections: Row[];
/** First day of the records of each segment's facility. */
let recordsFrom: Map<string, string>;

beforeAll(async () => {
  truth = await makeDemo({ segments: 5000, outDir: folder, seed: 5 });
  const accepted = (file: string) =>
    without(
      readTable(folder, file),
      truth.refusedRows.filter((refused) => refused.file === file),
      2,
    );
  lives = readTable(folder, 'truth-lives.csv');
  seals = accepted('seals.csv');
  inspections = accepted('inspections.csv');
  const ofFacility = new Map(accepted('facilities.csv').map((row) => [row.id, row.recordsFrom]));
  recordsFrom = new Map(
    readFeatures(folder).map(({ properties: { id, facilityId } }) => [id, ofFacility.get(facilityId) ?? '']),
  );
});
afterAll(() => rmSync(folder, { recursive: true }));

const daysBetween = (from: string, to: string) => (Date.parse(to) - Date.parse(from)) / 86_400_000;

function period(text: string) {
  const reading = readPeriod(text);
  if (!reading.ok) throw new Error(`${text} is no period`);
  return reading.value;
}

/** Largest distance between the survival of a sample (Kaplan-Meier without censoring) and that of the unit exponential. */
function kolmogorovDistance(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted.reduce((largest, value, i) => {
    const expected = 1 - Math.exp(-value);
    return Math.max(largest, expected - i / sorted.length, (i + 1) / sorted.length - expected);
  }, 0);
}

describe('true lives', () => {
  test('survival follows the true Weibull, class by class', () => {
    // If T is Weibull, (T / characteristic life) ^ shape is exponential with mean 1.
    for (const [sealantClass, rows] of groupBy(lives, (row) => row.sealantClass)) {
      const hazards = rows.map(
        (row) => (Number(row.lifeYears) / Number(row.characteristicLifeYears)) ** truth.model.shape,
      );
      // Kolmogorov's 0.01 % point, 2.23 / sqrt(n): nine classes are looked at, so 0.1 % over all.
      expect(kolmogorovDistance(hazards), sealantClass).toBeLessThan(2.23 / Math.sqrt(rows.length));
    }
  });

  test('as many seals fail by 5, 8 and 12 years as the model expects', () => {
    for (const age of [5, 8, 12]) {
      const chances = lives.map(
        (row) => 1 - Math.exp(-((age / Number(row.characteristicLifeYears)) ** truth.model.shape)),
      );
      const expected = chances.reduce((sum, p) => sum + p, 0);
      const sd = Math.sqrt(chances.reduce((sum, p) => sum + p * (1 - p), 0));
      const failed = lives.filter((row) => Number(row.lifeYears) <= age).length;
      expect(Math.abs(failed - expected)).toBeLessThan(4 * sd);
    }
  });

  test('the model is the same on both scales', () => {
    const { classes, covariates, sigma } = truth.model;
    for (const { medianYears, intercept } of classes) {
      const logScale = covariates.reduce((sum, { beta, reference }) => sum + beta * reference, intercept);
      expect(Math.exp(logScale) * Math.LN2 ** sigma).toBeCloseTo(medianYears, 10);
    }
    for (const { beta, step, lifeRatioPerStep } of covariates)
      expect(lifeRatioPerStep).toBeCloseTo(Math.exp(beta * step), 12);
  });

  test('a seal from before the records is on record only if it was sound and in place when they began', () => {
    let kept = 0;
    for (const life of lives) {
      const start = recordsFrom.get(life.segmentId);
      if (start === undefined) throw new Error(`No facility of ${life.segmentId}`);
      if (life.installedOn >= start) continue;
      const soundThen = daysBetween(life.installedOn, start) < Number(life.lifeYears) * 365.25 - 0.5;
      const inPlaceThen = life.removedOn === '' || life.removedOn > start;
      expect(life.recorded === '1', `${life.segmentId} ${life.installedOn}`).toBe(soundThen && inPlaceThen);
      kept += Number(life.recorded);
    }
    expect(kept).toBe(truth.counts.sealsWithDelayedEntry);
    expect(kept).toBeGreaterThan(500);
  });
});

describe('written records', () => {
  test('dates come in order: installed, removed, next installed', () => {
    for (const rows of groupBy(seals, (row) => row.segmentId).values()) {
      rows.forEach((row, i) => {
        const { from, to } = period(row.installed);
        expect(from <= to && to <= '2026-06-30').toBe(true);
        if (row.removedOn !== '') {
          expect(row.removedOn > to && row.removedOn <= '2026-06-30').toBe(true);
          const next = rows[i + 1];
          if (next)
            expect(period(next.installed).from <= row.removedOn && row.removedOn <= period(next.installed).to).toBe(
              true,
            );
        }
      });
    }
  });

  test('installations are known to a day, a month, a year or some years, in the shares of real records', () => {
    const share = (pattern: RegExp) => seals.filter(({ installed }) => pattern.test(installed)).length / seals.length;
    expect(share(/^\d{4}-\d{2}-\d{2}$/)).toBeCloseTo(0.42, 1);
    expect(share(/^\d{4}-\d{2}$/)).toBeCloseTo(0.27, 1);
    expect(share(/^\d{4}$/)).toBeCloseTo(0.29, 1);
    expect(share(/^\d{4}\/\d{4}$/)).toBeGreaterThan(0.01);
  });

  test('a reading by joint length finds a seal failed exactly from its failure on, but for the listed contradictions', () => {
    const misread = new Set(truth.contradictions.map(({ segmentId, inspectedOn }) => `${segmentId} ${inspectedOn}`));
    expect(misread.size).toBe(truth.counts.contradictions);
    expect(misread.size).toBeGreaterThan(5);
    const livesOf = groupBy(lives, (row) => row.segmentId);
    for (const { segmentId, inspectedOn, method, damagedShare } of inspections) {
      if (method !== 'joint-length') continue;
      const life = livesOf.get(segmentId)?.findLast(({ installedOn }) => installedOn <= inspectedOn);
      if (!life) throw new Error(`${segmentId} was read on ${inspectedOn} with no seal in place`);
      expect(life.recorded).toBe('1');
      const failedByThen = daysBetween(life.installedOn, inspectedOn) >= Number(life.lifeYears) * 365.25 - 0.5;
      const readAsFailed = Number(damagedShare) >= truth.model.failureThresholdShare;
      expect(readAsFailed !== failedByThen, `${segmentId} ${inspectedOn}`).toBe(
        misread.has(`${segmentId} ${inspectedOn}`),
      );
    }
  });

  test('shares by kind stay within the whole, and one segment is read once a day', () => {
    const astray = inspections.filter((row) => {
      const whole = Number(row.damagedShare);
      return !(whole >= 0 && whole <= 1) || DAMAGE_KINDS.some((kind) => Number(row[kind]) > whole);
    });
    expect(astray).toEqual([]);
    expect(new Set(inspections.map((row) => `${row.segmentId} ${row.inspectedOn}`)).size).toBe(inspections.length);
  });

  test('the flaws of real records are there', () => {
    const { counts } = truth;
    expect(seals.filter(({ sealantClass }) => /rubberised asphalt|hot pour/.test(sealantClass)).length).toBe(
      counts.classesByOldWord,
    );
    for (const count of [
      counts.classesByOldWord,
      counts.classesUnknown,
      counts.removalDatesMissing,
      counts.removalReasonsUnknown,
      counts.segmentWidthsMissing,
    ])
      expect(count).toBeGreaterThan(10);
    expect(counts.lateRecordFacilities / counts.facilities).toBeGreaterThan(0.25);
    expect(counts.lateRecordFacilities / counts.facilities).toBeLessThan(0.5);
    const reasons = new Set(seals.map(({ removalReason }) => removalReason));
    expect([...reasons].sort()).toEqual(['', 'failed', 'pavement-work', 'preventive', 'unknown']);
    expect(new Set(inspections.map(({ method }) => method))).toEqual(new Set(['joint-length', 'sample-unit']));
  });
});
