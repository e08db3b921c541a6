import type { AftData, AftPrior } from './aft.ts';

/** @throws RangeError where the prior does not match the coefficients or is no normal distribution */
export function checkAftPrior({ means, sds, logScaleMean, logScaleSd }: AftPrior, data: AftData): void {
  const names = data.intercept ? ['(Intercept)', ...data.names] : data.names;
  if (means.length !== names.length || sds.length !== names.length)
    throw new RangeError(
      `The prior has ${means.length} means and ${sds.length} standard deviations; expected ${names.length}: ${names.join(', ')}`,
    );
  names.forEach((name, j) => {
    if (!Number.isFinite(means[j]))
      throw new RangeError(`The prior mean of ${name} is ${means[j]}; expected a finite number`);
    if (!(sds[j] > 0)) throw new RangeError(`The prior standard deviation of ${name} is ${sds[j]}; expected above 0`);
  });
  if (!Number.isFinite(logScaleMean))
    throw new RangeError(`The prior mean of log sigma is ${logScaleMean}; expected a finite number`);
  if (!(logScaleSd > 0))
    throw new RangeError(`The prior standard deviation of log sigma is ${logScaleSd}; expected above 0`);
}
