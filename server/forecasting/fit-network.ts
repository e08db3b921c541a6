import type { AftData, AftFit, AftPrior, PosteriorDraws } from '../../analytics/survival/aft.ts';
import { aftPrior } from '../../analytics/survival/covariate-prior.ts';
import { type Design, designMatrix, learnDesign } from '../../analytics/survival/covariate-rows.ts';
import { fitAft } from '../../analytics/survival/fit-aft.ts';
import { posteriorDraws } from '../../analytics/survival/posterior.ts';
import { priorDraws } from '../../analytics/survival/prior-draws.ts';
import type { Family } from '../schemas/words.ts';
import { DAYS_PER_YEAR, type Network } from './network.ts';

/** Draws of the posterior that every forecast averages over. More sharpen intervals little and cost in proportion. */
export const DRAWS = 200;
/** One seed for all runs: the same records and settings give the same numbers. */
export const SEED = 20_260_701;

export interface FittedModel {
  readonly family: Family;
  readonly design: Design;
  readonly prior: AftPrior;
  /** null: there was no seal to learn from, and the draws are the prior's own. */ readonly fit: AftFit | null;
  readonly draws: PosteriorDraws;
  readonly fitSeconds: number;
}

/** Fits the service-life model to the network with its weakly informative priors. Ages are in years. */
export function fitNetwork(network: Network, family: Family): FittedModel {
  const design = learnDesign(network.seals);
  const prior = aftPrior(family, design);
  const began = performance.now();
  const seconds = () => (performance.now() - began) / 1000;
  if (network.rows.length === 0) {
    const draws = priorDraws(prior, family, { draws: DRAWS, seed: SEED });
    return { family, design, prior, fit: null, draws, fitSeconds: seconds() };
  }
  const data = aftData(network, design);
  const fit = fitAft(data, { family, prior });
  if (!fit.converged) throw new Error(`The fit did not converge (${fit.status}). ${fit.warnings.join(' ')}`);
  const draws = posteriorDraws(data, fit, prior, { draws: DRAWS, seed: SEED });
  return { family, design, prior, fit, draws, fitSeconds: seconds() };
}

function aftData({ rows }: Network, design: Design): AftData {
  const years = (daysOf: (row: Network['rows'][number]) => number) =>
    Float64Array.from(rows, (row) => daysOf(row) / DAYS_PER_YEAR);
  return {
    entry: years((row) => row.observation.entryDays),
    lower: years((row) => row.observation.lowerDays),
    upper: years((row) => row.observation.upperDays),
    weight: new Float64Array(rows.length).fill(1),
    covariates: designMatrix(
      design,
      rows.map((row) => row.covariates),
    ),
    names: design.names,
    intercept: false,
  };
}
