import { type DueYears, dueReason, dueYears } from '../../analytics/forecast/due-year.ts';
import { newLives } from '../../analytics/forecast/new-lives.ts';
import { classPrior } from '../../analytics/survival/covariate-prior.ts';
import type { NewState } from '../store/store.ts';
import type { ForecastInputs } from './budget.ts';
import { dataShare } from './data-share.ts';
import { byteOfChance, KEPT_DRAWS } from './failed-now-draws.ts';
import type { NetworkSegment } from './network.ts';
import { planningYear } from './planning-year.ts';

/** So few that a batch dies young once it is written: with 1,000 a network of 100,000 takes 70 MB more. */
const BATCH = 100;

/** What every forecast of one run shares. */
interface Shared {
  readonly inputs: ForecastInputs;
  readonly due: DueYears;
  readonly dataShares: ReadonlyMap<string, number>;
  /** Planning date as a decimal year. */ readonly now: number;
}

/** The state of every segment, with the forecast of those that have a seal in place, in batches. `nowChances`: see `Outlook`. */
export function* forecastStates(inputs: ForecastInputs, nowChances: Float32Array): Generator<NewState[]> {
  const { network, segments } = inputs;
  const shared = sharedOf(inputs);
  let batch: NewState[] = [];
  let next = 0;
  for (const segment of network.segments) {
    // Those with a seal in place stand in the same order.
    const i = segments[next] === segment ? next++ : null;
    batch.push(
      i === null ? stateOf(segment, null, null) : stateOf(segment, forecastOf(shared, i), nowBytes(nowChances, i)),
    );
    if (batch.length < BATCH) continue;
    yield batch;
    batch = [];
  }
  yield batch;
}

/** The seal in place as the lists and filters show it, with its forecast. */
function stateOf(
  { id, inPlace }: NetworkSegment,
  forecast: NewState['forecast'],
  failedNowDraws: Uint8Array | null,
): NewState {
  const last = inPlace?.observation.lastShare ?? null;
  return {
    segmentId: id,
    sealId: inPlace?.seal.id ?? null,
    sealantClass: inPlace?.seal.sealantClass ?? null,
    installedFrom: inPlace?.seal.installedFrom ?? null,
    installedTo: inPlace?.seal.installedTo ?? null,
    ageYears: inPlace?.planningAgeYears ?? null,
    lastInspectedOn: last?.onDay ?? null,
    damagedShare: last?.share ?? null,
    forecast,
    failedNowDraws,
  };
}

function nowBytes(nowChances: Float32Array, i: number): Uint8Array {
  const bytes = new Uint8Array(KEPT_DRAWS);
  for (let d = 0; d < KEPT_DRAWS; d++) bytes[d] = byteOfChance(nowChances[i * KEPT_DRAWS + d]);
  return bytes;
}

function sharedOf(inputs: ForecastInputs): Shared {
  const { segments, known, forecasts, model, settings, prices, network } = inputs;
  const { covariates, shared } = known;
  const openCostPerMYear = Float64Array.from(segments, (s) => settings.openJointCostPerMYear * s.consequenceWeight);
  const due = dueYears({
    count: segments.length,
    failedByYearEnd: forecasts.failedByYearEnd,
    yearEnds: forecasts.yearEnds,
    newLives: newLives(covariates, model.draws, model.family, undefined, shared),
    resealCostPerM: Float64Array.from(segments, (s) => prices.costPerM(s.inPlace.covariates.sealantClass, s.jointType)),
    openCostPerMYear,
    discountRatePerYear: settings.discountRatePerYear,
  });
  const dataShares = new Map(
    model.design.classes.map((name, i) => [
      name,
      dataShare(model.draws, i, classPrior(name, model.priors?.classes).logSd),
    ]),
  );
  return { inputs, due, dataShares, now: planningYear(network.planningDate).decimalYear };
}

function forecastOf({ inputs, due, dataShares, now }: Shared, i: number): NewState['forecast'] {
  const { forecasts, segments, planningYear: year } = inputs;
  const { planned, inPlace } = segments[i];
  const { yearEnds } = forecasts;
  const failedByYearEnd = forecasts.failedByYearEnd.subarray(i * yearEnds, (i + 1) * yearEnds);
  const { knownFailed } = inPlace.observation;
  const at = (ahead: number): number | null => (Number.isNaN(ahead) ? null : now + ahead);
  const reason = dueReason({
    planningYear: year,
    offset: due.offset[i],
    triggerChance: due.triggerChance[i],
    failedByYearEnd,
    knownFailed,
  });
  return {
    planningYear: year,
    failedByYearEnd,
    failedNowProbability: forecasts.failedNow[i],
    knownFailed,
    medianFailureYear: at(forecasts.medianYears[i]),
    lowerFailureYear: at(forecasts.lowerYears[i]),
    upperFailureYear: at(forecasts.upperYears[i]),
    dueYear: planned && due.offset[i] >= 0 ? year + due.offset[i] : null,
    dueReason: planned ? reason : `Left alone on purpose, so no year is named. Otherwise: ${reason}`,
    dataShare: dataShares.get(inPlace.covariates.sealantClass) ?? 0,
  };
}
