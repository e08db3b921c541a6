import { keyOfName } from '../../analytics/numeric/keyed-uniform.ts';
import { drawFirstFailures } from '../../analytics/program/program-sample.ts';
import { SEED } from '../forecasting/fit-network.ts';
import { lastSeenOf, shocksOf } from '../forecasting/in-years.ts';
import { type SealedSegment, sealedSegments } from '../forecasting/knowledge.ts';
import { modelForecasts } from '../forecasting/model-forecasts.ts';
import { readNetwork } from '../forecasting/network.ts';
import { planningYear } from '../forecasting/planning-year.ts';
import { decodeModel } from '../forecasting/stored-model.ts';
import type { Facility } from '../schemas/facility.ts';
import { SEALANT_CLASSES } from '../schemas/words.ts';
import type { Store } from '../store/store.ts';
import { type ClassModel, withClasses } from './class-lives.ts';
import type { PlanningBasis } from './planning-basis.ts';

/** The network as every scenario finds it: what is in place, how likely it has failed by when, on which draws. */
export interface PlanningGround {
  readonly planningDate: string;
  readonly firstYear: number;
  /** Segments that are planned for. */ readonly segments: readonly SealedSegment[];
  readonly facilities: readonly Facility[];
  readonly classModel: ClassModel;
  readonly modelVersion: number;
  /** Row-major, segments x `yearEnds`: chance of having failed by the end of each year, the planning year first. */
  readonly failedByYearEnd: Float64Array;
  readonly yearEnds: number;
  /** Age of each seal in place at the end of the planning year. */ readonly ageYears: Float64Array;
  readonly sample: GroundSample;
  /** Draws have years that are hard or easy on all seals in place. */ readonly yearsDiffer: boolean;
  readonly leftOut: LeftOut;
}

/** See `ProgramSample`. */
export interface GroundSample {
  readonly draws: number;
  readonly seed: number;
  readonly keys: Int32Array;
  readonly firstFailureYear: Uint8Array;
}

/** Segments that no program plans for, by why. */
export interface LeftOut {
  readonly unsealed: number;
  readonly leftAlone: number;
  /** Sealed with a class that the model in use has not met. */ readonly notInModel: number;
}

/** Forecasts look a little beyond the longest horizon asked for, for the cost of what follows it. */
const YEARS_BEYOND = 10;
const LOOK_AHEAD_YEARS = [20, 40];

/**
 * Reads the network and forecasts it with the model in use, from the day that the forecast on the screens starts from.
 * @param progress share done, 0-1, and what is being done @throws what `progress` throws
 */
export async function readPlanningGround(
  store: Store,
  basis: PlanningBasis,
  horizonYears: number,
  progress: (share: number, step: string) => void,
): Promise<PlanningGround> {
  const bytes = await store.readModelDraws();
  if (!bytes || basis.modelVersion === null)
    throw new Error('There is no forecast yet. Load records and make one first.');
  const model = decodeModel(bytes);
  const settings = { ...basis.settings, planningDate: basis.planningDate };
  const network = await readNetwork(store, settings, basis.planningDate, (share) =>
    progress(0.35 * share, 'Reading the records'),
  );
  const sealed = sealedSegments(network.segments);
  const planned = sealed.filter(({ planned: wanted }) => wanted);
  const segments = planned.filter(({ inPlace }) => model.design.classes.includes(inPlace.covariates.sealantClass));
  const { yearLeft, year } = planningYear(basis.planningDate);
  const lookAhead = LOOK_AHEAD_YEARS.find((years) => years >= horizonYears) ?? horizonYears;
  const ahead = lookAhead + YEARS_BEYOND;
  const options = { yearLeft, horizonYears: ahead - 1, failureThresholdShare: settings.failureThresholdShare };
  const { firstFailures, forecasts } = modelForecasts(segments, model, options);
  const keys = Int32Array.from(segments, ({ id }) => keyOfName(id));
  const knownFailed = Uint8Array.from(segments, ({ inPlace }) => Number(inPlace.observation.knownFailed));
  const shocks = shocksOf(model.yearSd, { horizonYears: lookAhead - 1 });
  const shared = shocks && { shocks, lastSeen: lastSeenOf(segments), yearLeft };
  const drawing = { keys, knownFailed, draws: model.draws.draws, years: lookAhead, seed: SEED, shared };
  const firstFailureYear = drawFirstFailures(drawing, firstFailures, (share) =>
    progress(0.35 + 0.35 * share, 'Drawing when each seal fails'),
  );
  const { failedByYearEnd, yearEnds } = forecasts((share) => progress(0.7 + 0.3 * share, 'Forecasting each segment'));
  return {
    planningDate: basis.planningDate,
    firstYear: year,
    segments,
    facilities: await store.listFacilities(),
    classModel: withClasses(model, SEALANT_CLASSES),
    modelVersion: basis.modelVersion,
    ...{ failedByYearEnd, yearEnds },
    ageYears: Float64Array.from(segments, ({ inPlace }) => inPlace.planningAgeYears + yearLeft),
    sample: { draws: model.draws.draws, seed: SEED, keys, firstFailureYear },
    yearsDiffer: Boolean(model.yearSd),
    leftOut: {
      unsealed: network.segments.length - sealed.length,
      leftAlone: sealed.length - planned.length,
      notInModel: planned.length - segments.length,
    },
  };
}
