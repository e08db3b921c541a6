import type { ClimateNormals } from '../../analytics/climate/climate-normals.ts';
import { type DemandInput, demandOverCapability, movementDemand } from '../../analytics/joint/movement-demand.ts';
import type { SealCovariates } from '../../analytics/survival/covariate-table.ts';
import type { SegmentCard } from '../schemas/card.ts';
import type { ModelHistory } from '../store/store.ts';

/**
 * The covariates of one seal from its records and the climate of its place. What is not recorded is null: the design
 * matrix decides what that means, and counts it. Aircraft departures are not vehicles, so airports have no traffic here.
 */
export function sealCovariates(
  history: ModelHistory,
  seal: ModelHistory['seals'][number],
  normals: ClimateNormals | null,
): SealCovariates {
  const { segment, facility } = history;
  const demand = demandInput(history, seal, normals);
  return {
    sealantClass: seal.sealantClass,
    freezingIndexCDays: normals?.freezingIndexCDays ?? null,
    freezeThawDaysPerYear: normals?.freezeThawDaysPerYear ?? null,
    temperatureRangeC: normals?.temperatureRangeC ?? null,
    precipitationMmPerYear: normals?.precipitationMmPerYear ?? null,
    movementOverCapability: demand && demandOverCapability(demand),
    trafficPerDay: facility.aadt,
    longitudinal: segment.jointType === 'longitudinal',
    widthMm: seal.widthMm ?? segment.widthMm,
    blasted: seal.preparation === 'unknown' ? null : seal.preparation.includes('blasted'),
    fuelExposure: segment.fuelExposure,
  };
}

/** The movement check of one seal as its card shows it. */
export function movementOf(
  history: ModelHistory,
  seal: ModelHistory['seals'][number],
  normals: ClimateNormals | null,
): SegmentCard['movement'] {
  const demand = demandInput(history, seal, normals);
  if (!demand) return null;
  const { seasonalOpeningMm, demandShare, capabilityShare, note } = movementDemand(demand);
  return { seasonalOpeningMm, widthMm: demand.widthMm, demandShare, capabilityShare, note };
}

/** null where the climate, the width or the slab length is not known. */
function demandInput(
  { segment }: ModelHistory,
  seal: ModelHistory['seals'][number],
  normals: ClimateNormals | null,
): DemandInput | null {
  const widthMm = seal.widthMm ?? segment.widthMm;
  if (normals === null || widthMm === null || segment.slabLengthM === null) return null;
  return {
    sealantClass: seal.sealantClass,
    slabLengthM: segment.slabLengthM,
    widthMm,
    baseType: segment.baseType,
    coarseAggregate: segment.coarseAggregate,
    rangeC: normals.temperatureRangeC,
  };
}
