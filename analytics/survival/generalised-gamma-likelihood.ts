import { generalisedGammaTerms } from './generalised-gamma-terms.ts';
import { type LogLikelihood, likelihoodOfTerms } from './log-likelihood.ts';
import type { Design } from './standardise.ts';

/** The log-likelihood at a given Q, in the same delta and tau as that of the other families; concave without entry. */
export const generalisedGammaLikelihood = (design: Design, q: number): LogLikelihood =>
  likelihoodOfTerms(design, generalisedGammaTerms(q));
