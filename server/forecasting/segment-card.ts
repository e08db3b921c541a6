import { segmentCurve } from '../../analytics/forecast/segment-curve.ts';
import { writeDesignRow } from '../../analytics/survival/covariate-rows.ts';
import type { Curve, SegmentCard } from '../schemas/card.ts';
import { HORIZON_YEARS } from '../schemas/forecast.ts';
import type { SegmentHistory, Store } from '../store/store.ts';
import { readingRules, readSegment, type SealInPlace, sealInPlace } from './network.ts';
import { NetworkClimate } from './network-climate.ts';
import { planningYear } from './planning-year.ts';
import { movementOf, sealCovariates } from './seal-covariates.ts';
import { decodeModel, type StoredModel } from './stored-model.ts';

const CURVE_STEPS_PER_YEAR = 4;

/** All that is known and forecast of one segment; null when there is no such segment. */
export async function segmentCard(store: Store, id: string): Promise<SegmentCard | null> {
  const found = await store.findSegment(id);
  if (!found) return null;
  const { geometry, ...history } = found;
  const settings = await store.readSettings();
  const report = (await store.readModelReport()) as { planningDate: string; version: number } | null;
  const planningDate = report?.planningDate ?? settings.planningDate ?? new Date().toISOString().slice(0, 10);
  const rules = readingRules(history, settings, planningDate);
  const reading = readSegment(history, rules);
  const state = await store.findState(id);
  const normals = (await NetworkClimate.read(store, settings.stationLimitKm)).at(
    history.segment.lon,
    history.segment.lat,
  );
  const at = reading.seals.findLastIndex((seal) => seal.inPlace);
  const seal = history.seals[at];
  const inPlace = seal && sealInPlace(seal, reading.seals[at], sealCovariates(history, seal, normals), rules);
  const bytes = inPlace && state?.forecast ? await store.readModelDraws() : null;
  return {
    segment: segmentOf(history, geometry),
    facility: history.facility,
    seals: history.seals,
    inspections: history.inspections,
    forecast: state?.forecast ?? null,
    curve: bytes && inPlace ? curveOf(decodeModel(bytes), inPlace, planningDate, settings.failureThresholdShare) : null,
    observationNotes: reading.seals.map(({ note }) => note),
    movement: seal ? movementOf(history, seal, normals) : null,
    modelVersion: report?.version ?? null,
  };
}

function segmentOf({ segment }: SegmentHistory, geometry: SegmentCard['segment']['geometry']): SegmentCard['segment'] {
  const { lon: _lon, lat: _lat, ...rest } = segment;
  return { ...rest, geometry };
}

/** Survival of the seal in place from the day it was last known sound to the end of the horizon; null once it failed. */
function curveOf(model: StoredModel, inPlace: SealInPlace, planningDate: string, threshold: number): Curve | null {
  const { family, design, draws, damageRule } = model;
  const { covariates, soundAgeYears, planningAgeYears, observation, damageShare } = inPlace;
  if (observation.knownFailed || !design.classes.includes(covariates.sealantClass)) return null;
  const row = new Float64Array(design.names.length);
  writeDesignRow(design, covariates, row, 0);
  const span = planningAgeYears + HORIZON_YEARS - soundAgeYears;
  const steps = Math.ceil(span * CURVE_STEPS_PER_YEAR);
  const ages = Float64Array.from({ length: steps + 1 }, (_, i) => soundAgeYears + (span * i) / steps);
  const damage = Number.isNaN(damageShare)
    ? undefined
    : { share: damageShare, failureThresholdShare: threshold, rule: damageRule };
  const { survival, lower, upper } = segmentCurve({ row, soundAgeYears, agesYears: ages, damage }, draws, family);
  const { decimalYear } = planningYear(planningDate);
  return {
    years: [...ages].map((age) => decimalYear + age - planningAgeYears),
    survival: [...survival],
    lower: [...lower],
    upper: [...upper],
    knownSoundOn: observation.lastSound?.onDay ?? null,
  };
}
