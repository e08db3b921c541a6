import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { ConditionData } from '../../../../analytics/condition/condition.ts';
import type { ConditionKnowledge } from '../../../../analytics/condition/forecast-condition.ts';
import { type DamagePair, damagePairs } from '../../../../analytics/forecast/damage-rule.ts';
import type { AftPrior } from '../../../../analytics/survival/aft.ts';
import { aftPrior } from '../../../../analytics/survival/covariate-prior.ts';
import { designMatrix, learnDesign } from '../../../../analytics/survival/covariate-rows.ts';
import type { SealCovariates } from '../../../../analytics/survival/covariate-table.ts';
import { daysBetween, installationDay, observeSegment } from '../../../../analytics/survival/observation.ts';
import type { SealObservation } from '../../../../analytics/survival/observation-records.ts';
import { type DemoTruth, makeDemo } from '../../../../data-demo/make.ts';
import { distanceKm, type Position } from '../../../../data-demo/place.ts';
import { isBlasted } from '../../../../data-demo/sealants.ts';
import { covariatesOf } from '../../../../data-demo/true-model.ts';
import { readPeriod } from '../../../../server/import/dates.ts';
import { normaliseWord, SEALANT_CLASS_WORDS } from '../../../../server/import/trade-words.ts';
import type { Preparation, SealantClass } from '../../../../server/schemas/words.ts';
import { type Feature, groupBy, type Row, readFeatures, readTable, without } from '../../data-demo/read-demo.ts';

const THRESHOLD_SHARE = 0.1;
const PLANNING_DATE = '2026-07-01';
const DAYS_PER_YEAR = 365.25;

interface SealOnRecord {
  readonly segmentId: string;
  readonly covariates: SealCovariates;
  readonly observation: SealObservation;
  readonly inspectorOn: ReadonlyMap<string, number>;
  /** SD of the installation day over its range, years. */ readonly installedSdYears: number;
  /** Of the seal in place only. */ readonly inPlace: InPlace | null;
}

interface InPlace {
  readonly soundAgeYears: number;
  readonly planningAgeYears: number;
  readonly foundFailedAgeYears: number;
  /** True remaining life from the planning date, negative when past. */ readonly remainingYears: number;
  /** True characteristic life, years: the whole of what the true model knows before any reading. */
  readonly characteristicYears: number;
  readonly ageErrorYears: number;
}

export interface DemoCondition {
  readonly truth: DemoTruth;
  readonly data: ConditionData;
  readonly prior: AftPrior;
  readonly known: ConditionKnowledge;
  readonly damageShare: Float64Array;
  readonly damagePairs: DamagePair[];
  readonly inPlace: readonly InPlace[];
}

/** Writes a demo to a temporary folder and reads it back as fit and forecast see it, beside the true lives. */
export async function demoCondition(segments: number, seed?: number): Promise<DemoCondition> {
  const folder = mkdtempSync(join(tmpdir(), 'demo-condition-'));
  try {
    const truth = await makeDemo({ segments, outDir: folder, seed });
    return gather(truth, readSeals(folder, truth));
  } finally {
    rmSync(folder, { recursive: true });
  }
}

function gather(truth: DemoTruth, seals: readonly SealOnRecord[]): DemoCondition {
  const design = learnDesign(seals.map((seal) => seal.covariates));
  const rows = seals.filter((seal) => seal.observation.observation !== null);
  const years = (pick: (o: NonNullable<SealObservation['observation']>) => number) =>
    Float64Array.from(
      rows,
      ({ observation }) => (observation.observation ? pick(observation.observation) : 0) / DAYS_PER_YEAR,
    );
  const placed = seals.filter((seal) => seal.inPlace !== null);
  const column = (pick: (seal: InPlace) => number) =>
    Float64Array.from(placed, ({ inPlace }) => (inPlace ? pick(inPlace) : Number.NaN));
  return {
    truth,
    data: {
      entry: years((o) => o.entryDays),
      lower: years((o) => o.lowerDays),
      upper: years((o) => o.upperDays),
      weight: new Float64Array(rows.length).fill(1),
      covariates: designMatrix(
        design,
        rows.map((row) => row.covariates),
      ),
      names: design.names,
      intercept: false,
      ...readingsOf(rows),
    },
    prior: aftPrior('weibull', design),
    known: {
      count: placed.length,
      covariates: designMatrix(
        design,
        placed.map((row) => row.covariates),
      ),
      soundAgeYears: column((seal) => seal.soundAgeYears),
      planningAgeYears: column((seal) => seal.planningAgeYears),
      foundFailedAgeYears: column((seal) => seal.foundFailedAgeYears),
      ...readingsOf(placed),
    },
    damageShare: Float64Array.from(placed, ({ observation: { lastSound, knownFailed } }) =>
      !knownFailed && lastSound && lastSound.share > 0 ? lastSound.share : Number.NaN,
    ),
    damagePairs: seals.flatMap((seal) => damagePairs(seal.observation.looks, THRESHOLD_SHARE)),
    inPlace: placed.flatMap(({ inPlace }) => inPlace ?? []),
  };
}

function readingsOf(seals: readonly SealOnRecord[]) {
  const readingStart = new Int32Array(seals.length + 1);
  const looks = seals.flatMap(({ observation, inspectorOn, installedSdYears }, i) => {
    readingStart[i + 1] = readingStart[i] + observation.looks.length;
    return observation.looks.map((look) => ({
      ...look,
      inspector: inspectorOn.get(look.onDay) ?? -1,
      ageSd: installedSdYears,
    }));
  });
  return {
    readingStart,
    readingAge: Float64Array.from(looks, (look) => look.ageDays / DAYS_PER_YEAR),
    readingShare: Float64Array.from(looks, (look) => look.share),
    readingAgeSd: Float64Array.from(looks, (look) => look.ageSd),
    readingInspector: Int32Array.from(looks, (look) => look.inspector),
  };
}

const period = (text: string) => {
  const reading = readPeriod(text);
  if (!reading.ok) throw new Error(`${text} is no period`);
  return reading.value;
};

interface Tables {
  readonly truth: DemoTruth;
  readonly facilities: ReadonlyMap<string, Row>;
  readonly seals: ReadonlyMap<string, Row[]>;
  readonly inspections: ReadonlyMap<string, Row[]>;
  readonly lives: ReadonlyMap<string, Row[]>;
  readonly stations: readonly { position: Position; normals: DemoTruth['stations'][number] }[];
}

function readSeals(folder: string, truth: DemoTruth): SealOnRecord[] {
  const refusedIn = (file: string) => truth.refusedRows.filter((refused) => refused.file === file);
  const sound = (file: string) => without(readTable(folder, file), refusedIn(file), 2);
  const tables: Tables = {
    truth,
    facilities: new Map(sound('facilities.csv').map((row) => [row.id, row])),
    seals: groupBy(sound('seals.csv'), (row) => row.segmentId),
    inspections: groupBy(sound('inspections.csv'), (row) => row.segmentId),
    lives: groupBy(readTable(folder, 'truth-lives.csv'), (row) => row.segmentId),
    stations: sound('stations.csv').flatMap((row) => {
      const normals = truth.stations.find(({ id }) => id === row.STATION);
      return normals ? [{ position: [Number(row.LONGITUDE), Number(row.LATITUDE)] as Position, normals }] : [];
    }),
  };
  return without(readFeatures(folder), refusedIn('segments.geojson'), 1).flatMap((feature) => sealsOf(feature, tables));
}

function sealsOf(feature: Feature, tables: Tables): SealOnRecord[] {
  const { properties: segment } = feature;
  const facility = tables.facilities.get(segment.facilityId);
  if (!facility) throw new Error(`No facility ${segment.facilityId}`);
  const seals = tables.seals.get(segment.id) ?? [];
  const inspections = tables.inspections.get(segment.id) ?? [];
  const installed = seals.map((seal) => period(seal.installed));
  const observed = observeSegment(
    {
      segmentId: segment.id,
      unsealedByPolicy: segment.unsealedByPolicy,
      seals: seals.map((seal, i) => ({
        id: seal.id,
        installedFrom: installed[i].from,
        installedTo: installed[i].to,
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
      failureThresholdShare: THRESHOLD_SHARE,
      inspectionMethod: 'joint-length',
      recordsFrom: facility.recordsFrom,
      today: PLANNING_DATE,
    },
  );
  const inspectorOn = new Map(
    inspections.flatMap((row) =>
      row.inspector ? [[row.inspectedOn, Number(row.inspector.slice(1)) - 1] as const] : [],
    ),
  );
  return observed.seals.map((observation, i) => {
    const ages = {
      ...observation,
      installedOn: installationDay({ installedFrom: installed[i].from, installedTo: installed[i].to }),
    };
    return {
      segmentId: segment.id,
      covariates: covariatesAs(feature, facility, seals[i], tables),
      observation,
      inspectorOn,
      installedSdYears: daysBetween(installed[i].from, installed[i].to) / Math.sqrt(12) / DAYS_PER_YEAR,
      inPlace: observation.inPlace ? inPlaceOf(ages, facility, feature, seals[i], tables) : null,
    };
  });
}

function inPlaceOf(
  { lastSound, foundFailed, knownFailed, installedOn }: SealObservation & { readonly installedOn: string },
  facility: Row,
  { properties: segment }: Feature,
  _seal: Row,
  { lives }: Tables,
): InPlace {
  const truly = (lives.get(segment.id) ?? []).at(-1);
  if (!truly || truly.removedOn) throw new Error(`No true seal in place on ${segment.id}`);
  const yearsOf = (days: number) => Math.max(0, days) / DAYS_PER_YEAR;
  const entryYears = yearsOf(daysBetween(installedOn, facility.recordsFrom));
  const lastSoundYears = lastSound ? lastSound.ageDays / DAYS_PER_YEAR : 0;
  const planningAgeYears = yearsOf(daysBetween(installedOn, PLANNING_DATE));
  const trueAgeYears = yearsOf(daysBetween(truly.installedOn, PLANNING_DATE));
  return {
    soundAgeYears: knownFailed ? lastSoundYears : Math.max(entryYears, lastSoundYears),
    planningAgeYears,
    foundFailedAgeYears: knownFailed && foundFailed ? foundFailed.ageDays / DAYS_PER_YEAR : Number.NaN,
    remainingYears: Number(truly.lifeYears) - trueAgeYears,
    characteristicYears: Number(truly.characteristicLifeYears),
    ageErrorYears: planningAgeYears - trueAgeYears,
  };
}

function covariatesAs(
  { properties: segment, geometry }: Feature,
  facility: Row,
  seal: Row,
  { stations }: Tables,
): SealCovariates {
  const line = (geometry.type === 'LineString' ? geometry.coordinates : geometry.coordinates[0]) as Position[];
  const at = line[Math.floor(line.length / 2)];
  const { normals } = stations.reduce((a, b) => (distanceKm(at, a.position) <= distanceKm(at, b.position) ? a : b));
  const sealantClass = (SEALANT_CLASS_WORDS.bySpelling.get(normaliseWord(seal.sealantClass)) ??
    'unknown') as SealantClass;
  const widthMm = Number(seal.widthMm) || segment.widthMm;
  const movement =
    widthMm === null || segment.slabLengthM === null || sealantClass === 'unknown'
      ? null
      : covariatesOf({
          sealantClass,
          normals,
          slabLengthM: segment.slabLengthM,
          baseType: segment.baseType,
          coarseAggregate: segment.coarseAggregate,
          widthMm,
          aadt: null,
          longitudinal: false,
          blasted: false,
          fuelExposure: false,
        }).movementRatio;
  return {
    sealantClass,
    freezingIndexCDays: normals.freezingIndexCDays,
    freezeThawDaysPerYear: normals.freezeThawDays,
    temperatureRangeC: normals.temperatureRangeC,
    precipitationMmPerYear: normals.precipitationMm,
    movementOverCapability: movement,
    trafficPerDay: facility.aadt === '' ? null : Number(facility.aadt),
    longitudinal: segment.jointType === 'longitudinal',
    widthMm,
    blasted: seal.preparation === 'unknown' ? null : isBlasted(seal.preparation as Preparation),
    fuelExposure: segment.fuelExposure,
  };
}
