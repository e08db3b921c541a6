import { intervalOf } from '../../analytics/forecast/draw-table.ts';
import { type CovariateColumn, lifeRatioPerStep } from '../../analytics/survival/covariate-rows.ts';
import { COVARIATES, type Covariate } from '../../analytics/survival/covariate-table.ts';
import type { Interval } from '../schemas/common.ts';
import type { Effect, ModelReport } from '../schemas/model.ts';
import { CLIMATE_ZONES, type ClimateZone } from '../schemas/words.ts';
import { coefficientDraws } from './data-share.ts';
import type { FittedModel } from './fit-network.ts';
import type { Network } from './network.ts';

const CLIMATE_COLUMNS = new Set(['freezingIndex', 'freezeThawDays', 'temperatureRange', 'precipitation']);

/** What each covariate does to life, with those left out named by their own sentence. */
export function describeEffects(model: FittedModel): Effect[] {
  const { design, draws } = model;
  const fitted = design.columns.map((column, i) => {
    const ratios = coefficientDraws(draws, design.classes.length + i).map((beta) => lifeRatioPerStep(column, beta));
    return effectOf(column, intervalOf(ratios));
  });
  return fitted.sort((a, b) => Math.abs(Math.log(b.lifeRatio.median)) - Math.abs(Math.log(a.lifeRatio.median)));
}

function effectOf(column: CovariateColumn, lifeRatio: Interval): Effect {
  const { name, label, stepLabel, reason } = column.covariate;
  return {
    name,
    label,
    step: stepLabel,
    lifeRatio,
    sentence: `${label}, ${stepLabel}: ${lasts(lifeRatio)}`,
    reason,
    missing: column.missing,
    climateZone: null,
  };
}

/** "lasts 0.7 times as long, 0.6 to 0.8", or that the records do not tell. */
function lasts({ median, lower, upper }: Interval): string {
  const numbers = `${median.toFixed(2)} times as long, ${lower.toFixed(2)} to ${upper.toFixed(2)}`;
  return lower <= 1 && upper >= 1
    ? `lasts ${numbers}; the records do not tell whether more or less`
    : `lasts ${numbers}`;
}

/** Life in each climate zone of the network against the network's average climate, all else equal. */
export function describeZones(network: Network, model: FittedModel): ModelReport['climateZones'] {
  const { design, draws } = model;
  const columns = design.columns.flatMap((column, i) =>
    CLIMATE_COLUMNS.has(column.covariate.name) ? [{ column, index: design.classes.length + i }] : [],
  );
  if (columns.length === 0) return [];
  const width = design.names.length;
  return zoneMeans(
    network,
    columns.map(({ column }) => column),
  ).map(({ zone, segments, means }) => {
    const ratios = Float64Array.from({ length: draws.draws }, (_, d) =>
      Math.exp(columns.reduce((sum, { index }, k) => sum + means[k] * draws.coefficients[d * width + index], 0)),
    );
    const lifeRatio = intervalOf(ratios);
    return { zone, segments, lifeRatio, sentence: `${zone[0].toUpperCase()}${zone.slice(1)}: ${lasts(lifeRatio)}` };
  });
}

/** Mean of the standardised climate columns over the segments of each zone. */
function zoneMeans(network: Network, columns: readonly CovariateColumn[]) {
  const sums = new Map<ClimateZone, { segments: number; totals: number[] }>();
  for (const { climateZone, inPlace } of network.segments) {
    if (climateZone === null || inPlace === null) continue;
    const sum = sums.get(climateZone) ?? { segments: 0, totals: columns.map(() => 0) };
    sums.set(climateZone, sum);
    sum.segments++;
    for (const [k, { covariate, mean, sd, fill }] of columns.entries()) {
      sum.totals[k] += ((covariate.valueOf(inPlace.covariates) ?? fill) - mean) / sd;
    }
  }
  return CLIMATE_ZONES.flatMap((zone) => {
    const sum = sums.get(zone);
    return sum ? [{ zone, segments: sum.segments, means: sum.totals.map((total) => total / sum.segments) }] : [];
  });
}

/** The covariates that are not in the model, for its summary. */
export const unusedCovariates = ({ design }: FittedModel): readonly Covariate[] =>
  COVARIATES.filter(({ name }) => design.dropped.some((dropped) => dropped.name === name));
