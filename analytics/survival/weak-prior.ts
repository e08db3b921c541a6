import type { AftData, AftPrior } from './aft.ts';

/** One standard deviation, or one 0/1 switch, changes life by a factor between 0.5 and 2.0 with 95 %. */
const EFFECT_SD = 0.35;
/** Shapes between 1.1 and 5.5 with 95 %: things that wear out. */
const SHAPE = 2.5;
const LOG_SHAPE_SD = 0.4;

/**
 * A prior for data about which nothing is known but that they are lives: slopes near 0, wear-out, and no opinion
 * on how long lives are. The widths are a proposal of this project, from what engineers would find surprising.
 */
export function weakPrior(data: AftData): AftPrior {
  const sds = data.names.map((_, j) => {
    const spread = columnSpread(data, j);
    return spread > 0 ? EFFECT_SD / spread : Infinity;
  });
  return {
    means: [...(data.intercept ? [0] : []), ...data.names.map(() => 0)],
    sds: [...(data.intercept ? [Infinity] : []), ...sds],
    logScaleMean: -Math.log(SHAPE),
    logScaleSd: LOG_SHAPE_SD,
  };
}

/** 1 for a 0/1 column, else the weighted standard deviation; 0 for a constant column. */
function columnSpread({ covariates, names, weight }: AftData, j: number): number {
  let total = 0;
  let mean = 0;
  let square = 0;
  let binary = true;
  for (let i = 0; i < weight.length; i++) {
    const value = covariates[i * names.length + j];
    binary &&= value === 0 || value === 1;
    total += weight[i];
    const change = value - mean;
    mean += (weight[i] / total) * change;
    square += weight[i] * change * (value - mean);
  }
  const spread = Math.sqrt(square / total);
  if (!(spread > 1e-12 * Math.abs(mean))) return 0;
  return binary ? 1 : spread;
}
