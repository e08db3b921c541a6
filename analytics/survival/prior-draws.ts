import { seededRandom } from '../numeric/seeded-normals.ts';
import type { AftPrior, Family, PosteriorDraws } from './aft.ts';

/**
 * Draws from the prior alone, for a network in which nothing has been observed yet.
 * @throws RangeError when a coefficient has a flat prior, from which nothing can be drawn
 */
export function priorDraws(
  prior: AftPrior,
  family: Family,
  { draws, seed }: { readonly draws: number; readonly seed: number },
): PosteriorDraws {
  const width = prior.means.length;
  const flat = prior.sds.findIndex((sd) => !Number.isFinite(sd));
  if (flat >= 0) throw new RangeError(`Prior ${flat + 1} is flat; expected a finite standard deviation`);
  const random = seededRandom(seed);
  const coefficients = new Float64Array(draws * width);
  const scale = new Float64Array(draws);
  for (let d = 0; d < draws; d++) {
    for (let j = 0; j < width; j++) coefficients[d * width + j] = prior.means[j] + prior.sds[j] * random.normal();
    const logScale = prior.logScaleMean + prior.logScaleSd * random.normal();
    scale[d] = family === 'exponential' ? 1 : Math.exp(logScale);
  }
  return { draws, coefficients, scale, effectiveSampleSize: draws, paretoK: 0, method: 'prior' };
}
