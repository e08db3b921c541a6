import { COVARIATES } from '../../analytics/survival/covariate-table.ts';
import { type InfluentialGroup, influence } from '../../analytics/survival/influence.ts';
import type { InfluentialSeal, OddOnes } from '../schemas/evidence-odd.ts';
import type { CurrentFit } from './diagnostics.ts';
import { listOfSeals, placeOf } from './seal-lists.ts';

const MOST_LISTED = 50;
const RULE =
  `The ${MOST_LISTED} seals whose records move the fit most: twice the log-likelihood that the fit without the seal gives ` +
  'up. A record that is right stays in; look at its dates first.';

/** Seals whose records pull the fit most; null where the fit has no covariance to measure by. */
export function influentialSeals({ network, data, fit, model }: CurrentFit): OddOnes['influential'] {
  if (!fit.covariance) return null;
  const { top, sentence } = influence(data, fit, model.prior, { top: MOST_LISTED });
  const seals = top.map((found): InfluentialSeal => {
    const { parameter, shift } = largestShift(found, fit.names);
    return {
      ...placeOf(network, network.rows[found.group].seal),
      distance: found.displacement,
      parameter,
      shift,
      sentence: sentenceOf(found, parameter, shift),
    };
  });
  return { rule: RULE, sentence, ...listOfSeals(seals) };
}

function largestShift({ changesInErrors }: InfluentialGroup, names: readonly string[]) {
  let largest = 0;
  changesInErrors.forEach((change, j) => {
    if (Math.abs(change) > Math.abs(changesInErrors[largest])) largest = j;
  });
  return { parameter: nameOf(names[largest]), shift: changesInErrors[largest] };
}

/** A column as a reader knows it. */
function nameOf(column: string): string {
  if (column === 'class:unknown') return 'life where no class is on record';
  const covariate = COVARIATES.find(({ name }) => name === column);
  return covariate ? `effect of ${covariate.label.toLowerCase()}` : column.replace(/^class:/, 'life of class ');
}

function sentenceOf({ medianRatio }: InfluentialGroup, parameter: string, shift: number): string {
  const percent = 100 * (medianRatio - 1);
  const life =
    Math.abs(percent) < 0.005 ? 'less than 0.01 %' : `${percent >= 0 ? '+' : '−'}${Math.abs(percent).toFixed(2)} %`;
  return (
    `Without it, ${parameter} would move by ${shift >= 0 ? '+' : '−'}${Math.abs(shift).toFixed(2)} standard errors and the ` +
    `median life of the average seal by ${life}.`
  );
}
