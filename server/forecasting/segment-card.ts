import type { Curve, SegmentCard } from '../schemas/card.ts';
import { HORIZON_YEARS } from '../schemas/forecast.ts';
import type { SegmentHistory, Store } from '../store/store.ts';
import type { SealInPlace } from './network.ts';
import { planningYear } from './planning-year.ts';
import { movementOf } from './seal-covariates.ts';
import { sealCurve } from './seal-curve.ts';
import { readSegmentInPlace, type SegmentInPlace } from './segment-in-place.ts';
import { decodeModel, type StoredModel } from './stored-model.ts';

const CURVE_STEPS_PER_YEAR = 4;

/** All that is known and forecast of one segment; null when there is no such segment. */
export async function segmentCard(store: Store, id: string): Promise<SegmentCard | null> {
  const found = await readSegmentInPlace(store, id);
  if (!found) return null;
  const { history, geometry, report, reading, normals, state, seal, inPlace } = found;
  const bytes = inPlace && state?.forecast ? await store.readModelDraws() : null;
  return {
    segment: segmentOf(history, geometry),
    facility: history.facility,
    seals: history.seals,
    inspections: history.inspections,
    forecast: state?.forecast ?? null,
    curve: bytes && inPlace ? curveOf(decodeModel(bytes), inPlace, found) : null,
    observationNotes: reading.seals.map(({ note }) => note()),
    movement: seal ? movementOf(history, seal, normals) : null,
    modelVersion: report?.version ?? null,
  };
}

function segmentOf({ segment }: SegmentHistory, geometry: SegmentCard['segment']['geometry']): SegmentCard['segment'] {
  const { lon: _lon, lat: _lat, ...rest } = segment;
  return { ...rest, geometry };
}

/** Survival of the seal in place from the day it was last known sound to the end of the horizon; null once it failed. */
function curveOf(
  model: StoredModel,
  inPlace: SealInPlace,
  { grouped, planningDate, settings }: SegmentInPlace,
): Curve | null {
  const { covariates, soundAgeYears, planningAgeYears, observation } = inPlace;
  if (observation.knownFailed || !model.design.classes.includes(covariates.sealantClass)) return null;
  const span = planningAgeYears + HORIZON_YEARS - soundAgeYears;
  const steps = Math.ceil(span * CURVE_STEPS_PER_YEAR);
  const ages = Float64Array.from({ length: steps + 1 }, (_, i) => soundAgeYears + (span * i) / steps);
  const { survival, lower, upper } = sealCurve(model, { ...grouped, inPlace }, ages, settings.failureThresholdShare);
  const { decimalYear } = planningYear(planningDate);
  return {
    years: [...ages].map((age) => decimalYear + age - planningAgeYears),
    survival: [...survival],
    lower: [...lower],
    upper: [...upper],
    knownSoundOn: observation.lastSound?.onDay ?? null,
  };
}
