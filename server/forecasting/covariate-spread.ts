import { type Design, writeDesignRow } from '../../analytics/survival/covariate-rows.ts';
import type { Network } from './network.ts';

/** Covariance of the covariate columns of a design over all seals of the network, row-major. */
export function covariateSpread({ seals }: Pick<Network, 'seals'>, design: Design): Float64Array {
  const [width, classes, size] = [design.names.length, design.classes.length, design.columns.length];
  const row = new Float64Array(width);
  const sums = new Float64Array(size);
  const products = new Float64Array(size * size);
  for (const seal of seals) {
    writeDesignRow(design, seal, row, 0);
    for (let j = 0; j < size; j++) {
      sums[j] += row[classes + j];
      for (let k = 0; k <= j; k++) products[j * size + k] += row[classes + j] * row[classes + k];
    }
  }
  const count = Math.max(1, seals.length);
  const out = new Float64Array(size * size);
  for (let j = 0; j < size; j++)
    for (let k = 0; k <= j; k++) {
      const covariance = products[j * size + k] / count - (sums[j] / count) * (sums[k] / count);
      out[j * size + k] = out[k * size + j] = covariance;
    }
  return out;
}
