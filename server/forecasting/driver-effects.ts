import { intervalOf } from '../../analytics/forecast/draw-table.ts';
import type { CovariateColumn } from '../../analytics/survival/covariate-rows.ts';
import type { SealCovariates } from '../../analytics/survival/covariate-table.ts';
import type { Interval } from '../schemas/common.ts';
import type { DriverEffect, Drivers } from '../schemas/drivers.ts';
import { coefficientDraws } from './data-share.ts';
import type { StoredModel } from './stored-model.ts';

const NO_EFFECT: Interval = { median: 1, lower: 1, upper: 1 };

/** How each covariate value of one seal moves its life away from that at the network's average, strongest first. */
export function describeDriverEffects(
  { design, draws }: StoredModel,
  covariates: SealCovariates,
  /** Effects on log life of what is no covariate, one for each draw. */ more: Float64Array,
): Pick<Drivers, 'effects' | 'together'> {
  const logTogether = Float64Array.from(more);
  const effects = design.columns.map((column, k) => {
    const value = column.covariate.valueOf(covariates);
    if (value === null || !Number.isFinite(value)) return effectOf(column, null, NO_EFFECT);
    const logRatios = coefficientDraws(draws, design.classes.length + k).map(
      (beta) => (beta * (value - column.fill)) / column.sd,
    );
    for (let d = 0; d < logTogether.length; d++) logTogether[d] += logRatios[d];
    return effectOf(column, value, intervalOf(logRatios.map(Math.exp)));
  });
  const strength = ({ lifeRatio }: DriverEffect) => Math.abs(Math.log(lifeRatio.median));
  return {
    effects: effects.sort((a, b) => strength(b) - strength(a)),
    together: intervalOf(logTogether.map(Math.exp)),
  };
}

function effectOf({ covariate, fill }: CovariateColumn, value: number | null, lifeRatio: Interval): DriverEffect {
  // Traffic is in the model as its logarithm; people count vehicles.
  const logged = covariate.unit.startsWith('log of ');
  const shown = (x: number): number => (logged ? Math.exp(x) : x);
  const unit = logged ? covariate.unit.slice('log of '.length) : covariate.unit;
  const valueText =
    covariate.kind === 'switch'
      ? switchText(value, fill)
      : numberText(value === null ? null : shown(value), shown(fill), unit);
  return {
    name: covariate.name,
    label: covariate.label,
    value: value === null ? null : shown(value),
    networkAverage: shown(fill),
    unit,
    valueText,
    lifeRatio,
    sentence: `${covariate.label}, ${valueText}: ${effectText(value, lifeRatio)}`,
  };
}

const switchText = (value: number | null, fill: number): string =>
  `${value === null ? 'not recorded' : value > 0.5 ? 'yes' : 'no'} (yes for ${Math.round(100 * fill)} % of the network)`;

function numberText(value: number | null, average: number, unit: string): string {
  const words = (x: number): string =>
    unit === 'share' ? `${Math.round(100 * x)} %` : `${Number(x.toPrecision(3)).toLocaleString('en')} ${unit}`;
  return `${value === null ? 'not recorded' : words(value)} (network average ${words(average)})`;
}

function effectText(value: number | null, { median, lower, upper }: Interval): string {
  if (value === null) return "taken as the network's average, so it changes nothing.";
  const numbers = `${median.toFixed(2)} times as long as at the average, ${lower.toFixed(2)} to ${upper.toFixed(2)}`;
  return lower <= 1 && upper >= 1
    ? `lasts ${numbers}; the records do not tell whether more or less.`
    : `lasts ${numbers}.`;
}
