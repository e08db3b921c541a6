import { rowHazards, rowPredictors } from '../../analytics/diagnostics/fitted-hazard.ts';
import { standardQuantile } from '../../analytics/survival/families.ts';
import type { EarlyFailure, OddOnes } from '../schemas/evidence-odd.ts';
import type { CurrentFit } from './diagnostics.ts';
import type { EvidenceNetwork } from './evidence-network.ts';
import { listOfSeals, placeOf } from './seal-lists.ts';

/** A failure is early when the chance of failing by then was no more than this, and it came before this share of life. */
const MOST_CHANCE = 0.05;
const MOST_LIFE_SHARE = 0.5;

const RULE =
  `Found failed by an age by which at most ${100 * MOST_CHANCE} % of seals like it were forecast to fail, and before ` +
  `${100 * MOST_LIFE_SHARE} % of their median life. The forecast is of the current fit, given the age at which records began.`;

/** Seals that failed far below their forecast life, the least likely first. */
export function earlyFailures(network: EvidenceNetwork, current: CurrentFit | null): OddOnes['early'] {
  const seals = current ? earlySeals(network, current) : [];
  const failures = current?.data.upper.reduce((sum, upper) => sum + Number(upper < Infinity), 0) ?? 0;
  const expected = current ? earlyByChance(current) : 0;
  return {
    rule: RULE,
    sentence:
      `${seals.length.toLocaleString('en')} of ${failures.toLocaleString('en')} failures came far below forecast life; about ${Math.round(expected).toLocaleString('en')} would by chance ` +
      'if the fit is right. Several of one lot, crew or facility are not chance.',
    ...listOfSeals(seals),
  };
}

/** How many seals would be in the list if the fit were right: of each, the chance at its last look young enough for it. */
function earlyByChance({ network, data, fit, model, matrix, past: { trials, chance } }: CurrentFit): number {
  const width = data.names.length;
  const half = fit.scale * standardQuantile(model.family, 0.5);
  const youngUntil = Float64Array.from({ length: matrix.length / width }, (_, seal) => {
    let predictor = half;
    for (let j = 0; j < width; j++) predictor += fit.coefficients[j] * matrix[seal * width + j];
    return MOST_LIFE_SHARE * Math.exp(predictor);
  });
  let [expected, sound] = [0, 1];
  for (let i = 0; i < trials.count; i++) {
    if (i === 0 || trials.life[i] !== trials.life[i - 1]) sound = 1;
    const before = sound;
    sound *= 1 - chance[i];
    if (1 - sound <= MOST_CHANCE && trials.lookYears[i] < youngUntil[trials.seal[i]]) expected += before - sound;
  }
  return (expected * network.segments) / Math.max(1, network.histories.length);
}

function earlySeals(network: EvidenceNetwork, { data, fit, model }: CurrentFit): EarlyFailure[] {
  const hazards = rowHazards(data, fit);
  const predictors = rowPredictors(data, fit);
  const half = fit.scale * standardQuantile(model.family, 0.5);
  return network.rows
    .flatMap(({ seal, lowerYears, upperYears }, i) => {
      const chance = -Math.expm1(-hazards.upper[i]);
      const medianLifeYears = Math.exp(predictors[i] + half);
      if (!(upperYears < MOST_LIFE_SHARE * medianLifeYears && chance <= MOST_CHANCE)) return [];
      return [
        {
          ...placeOf(network, seal),
          soundYears: lowerYears,
          failedYears: upperYears,
          chance,
          medianLifeYears,
          inPlace: network.seals[seal].inPlace,
          sentence: sentenceOf(upperYears, chance, medianLifeYears),
        },
      ];
    })
    .sort((a, b) => a.chance - b.chance || (a.sealId < b.sealId ? -1 : 1));
}

function sentenceOf(failedYears: number, chance: number, medianLifeYears: number): string {
  const percent = 100 * chance < 0.1 ? 'under 0.1' : (100 * chance).toFixed(1);
  return (
    `Failed by ${failedYears.toFixed(1)} years, where half of the seals like it were forecast to last ` +
    `${medianLifeYears.toFixed(1)} years and ${percent} % to fail so early.`
  );
}
