import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { AftData } from '../../../analytics/survival/aft.ts';
import { fitAft } from '../../../analytics/survival/fit-aft.ts';
import { observeSegment } from '../../../analytics/survival/observation.ts';
import { type DemoTruth, makeDemo } from '../../../data-demo/make.ts';
import { distanceKm, type Position } from '../../../data-demo/place.ts';
import { isBlasted } from '../../../data-demo/sealants.ts';
import { COVARIATES, covariatesOf, TRUE_MEDIAN_YEARS } from '../../../data-demo/true-model.ts';
import { readPeriod } from '../../../server/import/dates.ts';
import { normaliseWord, SEALANT_CLASS_WORDS } from '../../../server/import/trade-words.ts';
import type { Preparation, SealantClass } from '../../../server/schemas/words.ts';
import { type Feature, groupBy, type Row, readFeatures, readTable, without } from './read-demo.ts';

/** One seal as a fit sees it. */
interface FitRow {
  readonly sealantClass: string;
  readonly entry: number;
  readonly lower: number;
  readonly upper: number;
  /** NaN: not recorded. */ readonly values: readonly number[];
}

const folder = mkdtempSync(join(tmpdir(), 'demo-recovery-'));
let truth: DemoTruth;
let rows: FitRow[];

beforeAll(async () => {
  truth = await makeDemo({ segments: 6000, outDir: folder });
  rows = readRecords();
});
afterAll(() => rmSync(folder, { recursive: true }));

const period = (text: string) => {
  const reading = readPeriod(text);
  if (!reading.ok) throw new Error(`${text} is no period`);
  return reading.value;
};

function readRecords(): FitRow[] {
  const refusedIn = (file: string) => truth.refusedRows.filter((refused) => refused.file === file);
  const sound = (file: string) => without(readTable(folder, file), refusedIn(file), 2);
  const facilities = new Map(sound('facilities.csv').map((row) => [row.id, row]));
  const stations = sound('stations.csv').map((row) => ({
    position: [Number(row.LONGITUDE), Number(row.LATITUDE)] as Position,
    normals: truth.stations.find(({ id }) => id === row.STATION),
  }));
  const seals = groupBy(sound('seals.csv'), (row) => row.segmentId);
  const inspections = groupBy(sound('inspections.csv'), (row) => row.segmentId);
  return without(readFeatures(folder), refusedIn('segments.geojson'), 1).flatMap((feature) => {
    const facility = facilities.get(feature.properties.facilityId);
    if (!facility) throw new Error(`No facility ${feature.properties.facilityId}`);
    const id = feature.properties.id;
    return fitRows(feature, facility, seals.get(id) ?? [], inspections.get(id) ?? [], stations);
  });
}

type StationRows = { position: Position; normals: DemoTruth['stations'][number] | undefined }[];

function fitRows(feature: Feature, facility: Row, seals: Row[], inspections: Row[], stations: StationRows): FitRow[] {
  const { properties: segment, geometry } = feature;
  const observed = observeSegment(
    {
      segmentId: segment.id,
      unsealedByPolicy: segment.unsealedByPolicy,
      seals: seals.map((seal) => ({
        id: seal.id,
        installedFrom: period(seal.installed).from,
        installedTo: period(seal.installed).to,
        removedOn: seal.removedOn || null,
        removalReason: (seal.removalReason || null) as 'failed' | null,
      })),
      inspections: inspections.map(({ inspectedOn, method, damagedShare }) => ({
        inspectedOn,
        method,
        damagedShare: Number(damagedShare),
      })),
    },
    {
      failureThresholdShare: 0.1,
      inspectionMethod: 'joint-length',
      recordsFrom: facility.recordsFrom,
      today: '2026-07-01',
    },
  );
  const line = (geometry.type === 'LineString' ? geometry.coordinates : geometry.coordinates[0]) as Position[];
  const at = line[Math.floor(line.length / 2)];
  const station = stations.reduce((a, b) => (distanceKm(at, a.position) <= distanceKm(at, b.position) ? a : b));
  if (!station.normals) throw new Error('No normals');
  const normals = station.normals;
  return observed.seals.flatMap(({ observation }, i) => {
    if (!observation) return [];
    const sealantClass = SEALANT_CLASS_WORDS.bySpelling.get(normaliseWord(seals[i].sealantClass)) as SealantClass;
    if (TRUE_MEDIAN_YEARS[sealantClass] === undefined) return [];
    const knownWidthMm = Number(seals[i].widthMm) || segment.widthMm;
    const values = covariatesOf({
      sealantClass,
      normals,
      slabLengthM: segment.slabLengthM ?? Number.NaN,
      baseType: segment.baseType,
      coarseAggregate: segment.coarseAggregate,
      widthMm: knownWidthMm ?? 1,
      aadt: facility.aadt === '' ? null : Number(facility.aadt),
      longitudinal: segment.jointType === 'longitudinal',
      blasted: isBlasted(seals[i].preparation as Preparation),
      fuelExposure: segment.fuelExposure,
    });
    const blasted = seals[i].preparation === 'unknown' ? Number.NaN : values.blasted;
    const ofWidth = knownWidthMm === null ? { widthMm: Number.NaN, movementRatio: Number.NaN } : {};
    const logAadt = facility.aadt === '' ? Number.NaN : values.logAadt;
    return [
      {
        sealantClass,
        entry: observation.entryDays / 365.25,
        lower: observation.lowerDays / 365.25,
        upper: observation.upperDays / 365.25,
        values: COVARIATES.map((name) => ({ ...values, ...ofWidth, blasted, logAadt })[name]),
      },
    ];
  });
}

/** Maximum likelihood of classes and covariates; a value that was not recorded counts as the network's mean. */
function fitRecords(useRows: readonly FitRow[], delayedEntry: boolean) {
  const classes = truth.model.classes.map(({ sealantClass }) => sealantClass);
  const means = COVARIATES.map((_, j) => {
    const known = useRows.map(({ values }) => values[j]).filter((value) => !Number.isNaN(value));
    return known.reduce((sum, value) => sum + value, 0) / known.length;
  });
  const data: AftData = {
    entry: Float64Array.from(useRows, ({ entry }) => (delayedEntry ? entry : 0)),
    lower: Float64Array.from(useRows, ({ lower }) => lower),
    upper: Float64Array.from(useRows, ({ upper }) => upper),
    weight: new Float64Array(useRows.length).fill(1),
    covariates: Float64Array.from(
      useRows.flatMap(({ sealantClass, values }) => [
        ...classes.map((name) => Number(name === sealantClass)),
        ...values.map((value, j) => (Number.isNaN(value) ? means[j] : value)),
      ]),
    ),
    names: [...classes, ...COVARIATES],
    intercept: false,
  };
  return fitAft(data, { family: 'weibull', prior: null });
}

/** (estimate - truth) / standard error: log median of each class at the reference covariates, effects, log sigma. */
function departures(result: ReturnType<typeof fitRecords>): { name: string; z: number }[] {
  const { classes, covariates, sigma } = truth.model;
  const parameters = [...result.coefficients, Math.log(result.scale)];
  const trueValues = [
    ...classes.map(({ intercept }) => intercept),
    ...covariates.map(({ beta }) => beta),
    Math.log(sigma),
  ];
  const references = covariates.map(({ reference }) => reference);
  const names = [...result.names, 'log sigma'];
  return names.map((name, i) => {
    const weights = names.map((_, j) => Number(i === j));
    if (i < classes.length) weights.splice(classes.length, references.length, ...references);
    return { name, z: departure(result.covariance, weights, parameters, trueValues) };
  });
}

function departure(covariance: Float64Array | null, weights: number[], parameters: number[], trueValues: number[]) {
  if (!covariance) throw new Error('No covariance');
  const difference = weights.reduce((sum, weight, i) => sum + weight * (parameters[i] - trueValues[i]), 0);
  const variance = weights.reduce(
    (sum, a, i) => sum + weights.reduce((inner, b, j) => inner + a * b * covariance[i * weights.length + j], 0),
    0,
  );
  return difference / Math.sqrt(variance);
}

describe('the true model comes back from the written records', () => {
  test('every true value lies within reach of its estimate, and most within the 95 % interval', () => {
    const result = fitRecords(rows, true);
    expect(result.status).toBe('ok');
    expect(result.failures).toBeGreaterThan(3000);
    const zs = departures(result);
    // Of 20 parameters one is outside 95 % by chance; 3.3 standard errors is 1 in 1,000 for each.
    expect(zs.filter(({ z }) => Math.abs(z) > 3.3)).toEqual([]);
    expect(zs.filter(({ z }) => Math.abs(z) > 1.96).length).toBeLessThanOrEqual(3);
  });

  test('without delayed entry hot-applied sealants seem to live longer than they do', () => {
    const zs = new Map(departures(fitRecords(rows, false)).map(({ name, z }) => [name, z]));
    expect(zs.get('hot-applied')).toBeGreaterThan(3.3);
    expect(zs.get('hot-applied-type-1')).toBeGreaterThan(3.3);
  });
});
