import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { TrialHistory } from '../../../analytics/backtest/trial-history.ts';
import { climateZone } from '../../../analytics/climate/climate-zone.ts';
import { movementDemand } from '../../../analytics/joint/movement-demand.ts';
import type { SealCovariates } from '../../../analytics/survival/covariate-table.ts';
import { type DemoTruth, makeDemo } from '../../../data-demo/make.ts';
import { distanceKm, type Position } from '../../../data-demo/place.ts';
import { readPeriod } from '../../../server/import/dates.ts';
import { normaliseWord, SEALANT_CLASS_WORDS } from '../../../server/import/trade-words.ts';
import type { SealantClass } from '../../../server/schemas/words.ts';
import { type Feature, groupBy, type Row, readFeatures, readTable, without } from './read-demo.ts';

export interface DemoAgency {
  readonly histories: readonly TrialHistory[];
  /** One for each seal, in the order of the histories and their seals. */ readonly covariates: readonly SealCovariates[];
  /** What is true of each. */ readonly truths: readonly TrueSeal[];
}

export interface TrueSeal {
  readonly installedOn: string;
  readonly lifeYears: number;
  /** Age by which 63 % of seals like it have failed. */ readonly characteristicLifeYears: number;
}

/** Makes a demo, reads its records as the forecast reads them, beside the true life of every seal on record. */
export async function demoAgency(segments: number, seed?: number): Promise<DemoAgency> {
  const folder = mkdtempSync(join(tmpdir(), 'demo-agency-'));
  try {
    return readDemoAgency(folder, await makeDemo({ segments, outDir: folder, seed }));
  } finally {
    rmSync(folder, { recursive: true });
  }
}

const period = (text: string) => {
  const reading = readPeriod(text);
  if (!reading.ok) throw new Error(`${text} is no period`);
  return reading.value;
};

type Stations = readonly { readonly position: Position; readonly normals: DemoTruth['stations'][number] }[];

function readDemoAgency(folder: string, truth: DemoTruth): DemoAgency {
  const sound = (file: string) =>
    without(
      readTable(folder, file),
      truth.refusedRows.filter((row) => row.file === file),
      2,
    );
  const facilities = new Map(sound('facilities.csv').map((row) => [row.id, row]));
  const stations = sound('stations.csv').map((row) => ({
    position: [Number(row.LONGITUDE), Number(row.LATITUDE)] as Position,
    normals: found(truth.stations.find(({ id }) => id === row.STATION)),
  }));
  const seals = groupBy(sound('seals.csv'), (row) => row.segmentId);
  const inspections = groupBy(sound('inspections.csv'), (row) => row.segmentId);
  const lives = groupBy(readTable(folder, 'truth-lives.csv'), (row) => row.segmentId);
  const histories: TrialHistory[] = [];
  const covariates: SealCovariates[] = [];
  const truths: TrueSeal[] = [];
  const features = without(
    readFeatures(folder),
    truth.refusedRows.filter(({ file }) => file === 'segments.geojson'),
    1,
  );
  for (const feature of features) {
    const { id } = feature.properties;
    const facility = found(facilities.get(feature.properties.facilityId));
    const sealRows = seals.get(id) ?? [];
    const normals = nearest(feature, stations);
    histories.push(historyOf(feature, facility, sealRows, inspections.get(id) ?? [], normals));
    for (const seal of sealRows) {
      covariates.push(covariatesOfSeal(feature.properties, facility, seal, normals));
      truths.push(truthOf(seal, lives.get(id) ?? []));
    }
  }
  return { histories, covariates, truths };
}

function found<T>(value: T | undefined): T {
  if (value === undefined) throw new Error('The demo lacks a record that another one names');
  return value;
}

function nearest({ geometry }: Feature, stations: Stations) {
  const line = (geometry.type === 'LineString' ? geometry.coordinates : geometry.coordinates[0]) as Position[];
  const at = line[Math.floor(line.length / 2)];
  return stations.reduce((a, b) => (distanceKm(at, a.position) <= distanceKm(at, b.position) ? a : b)).normals;
}

type Normals = Stations[number]['normals'];

const classOf = (seal: Row): SealantClass =>
  SEALANT_CLASS_WORDS.bySpelling.get(normaliseWord(seal.sealantClass)) as SealantClass;

function historyOf(
  { properties }: Feature,
  facility: Row,
  seals: readonly Row[],
  inspections: readonly Row[],
  normals: Normals,
): TrialHistory {
  return {
    records: {
      segmentId: properties.id,
      unsealedByPolicy: properties.unsealedByPolicy,
      seals: seals.map((seal) => ({
        id: seal.id,
        installedFrom: period(seal.installed).from,
        installedTo: period(seal.installed).to,
        removedOn: seal.removedOn || null,
        removalReason: (seal.removalReason || null) as 'failed' | null,
      })),
      inspections: inspections.map(({ inspectedOn, method, damagedShare, inspector }) => ({
        inspectedOn,
        method,
        damagedShare: Number(damagedShare),
        inspector: inspector || null,
      })),
    },
    recordsFrom: facility.recordsFrom || null,
    facility: facility.id,
    district: properties.district,
    climateZone: climateZone(normals.freezingIndexCDays, normals.precipitationMm),
    lengthM: properties.sealedLengthM,
    sealantClasses: seals.map(classOf),
  };
}

function covariatesOfSeal(segment: Feature['properties'], facility: Row, seal: Row, normals: Normals): SealCovariates {
  const sealantClass = classOf(seal);
  const widthMm = Number(seal.widthMm) || segment.widthMm;
  const { slabLengthM } = segment;
  return {
    sealantClass,
    freezingIndexCDays: normals.freezingIndexCDays,
    freezeThawDaysPerYear: normals.freezeThawDays,
    temperatureRangeC: normals.temperatureRangeC,
    precipitationMmPerYear: normals.precipitationMm,
    movementOverCapability:
      widthMm !== null && slabLengthM !== null
        ? movementDemand({
            sealantClass,
            slabLengthM,
            widthMm,
            baseType: segment.baseType,
            coarseAggregate: segment.coarseAggregate,
            rangeC: normals.temperatureRangeC,
          }).demandOverCapability
        : null,
    trafficPerDay: facility.aadt === '' ? null : Number(facility.aadt),
    longitudinal: segment.jointType === 'longitudinal',
    widthMm,
    blasted: seal.preparation === 'unknown' ? null : seal.preparation.includes('blasted'),
    fuelExposure: segment.fuelExposure,
  };
}

/** The life whose true installation lies in the recorded period, or nearest to it. */
function truthOf(seal: Row, lives: readonly Row[]): TrueSeal {
  const { from, to } = period(seal.installed);
  const middle = (Date.parse(from) + Date.parse(to)) / 2;
  const apart = (life: Row) => Math.abs(Date.parse(life.installedOn) - middle);
  const { installedOn, lifeYears, characteristicLifeYears } = found([...lives].sort((a, b) => apart(a) - apart(b))[0]);
  return {
    installedOn,
    lifeYears: Number(lifeYears),
    characteristicLifeYears: Number(characteristicLifeYears),
  };
}
