import erfcx from '@stdlib/math-base-special-erfcx';

const HALF_SQRT_2_OVER_PI = 0.5 * Math.sqrt(2 / Math.PI);
/** Beyond it the tail is below 1e-15 and adds nothing. */
const CERTAIN = 8;

/** Writes log Phi(z) and its first two derivatives to out[0..2]; one scaled erfc for all three. */
export function logNormalCdfInto(out: Float64Array, z: number): void {
  if (z > CERTAIN) {
    out[0] = out[1] = out[2] = 0;
    return;
  }
  const scaled = erfcx(Math.abs(z) * Math.SQRT1_2);
  if (z < 0) {
    out[0] = Math.log(0.5 * scaled) - 0.5 * z * z;
    out[1] = (2 * HALF_SQRT_2_OVER_PI) / scaled;
  } else {
    const density = Math.exp(-0.5 * z * z);
    const tail = 0.5 * scaled * density;
    out[0] = Math.log1p(-tail);
    out[1] = (HALF_SQRT_2_OVER_PI * density) / (1 - tail);
  }
  out[2] = -out[1] * (z + out[1]);
}

/** Steps of the table per unit of z; the cubic between them is off by less than 1e-9. */
const PER_UNIT = 64;
const TABLE_END = 8;
const [LOG_CDF, LOG_CDF_SLOPE] = tableOfLogCdf();

function tableOfLogCdf(): [Float64Array, Float64Array] {
  const cells = 2 * TABLE_END * PER_UNIT;
  const values = new Float64Array(cells + 1);
  const slopes = new Float64Array(cells + 1);
  const out = new Float64Array(3);
  for (let k = 0; k <= cells; k++) {
    logNormalCdfInto(out, k / PER_UNIT - TABLE_END);
    values[k] = out[0];
    slopes[k] = out[1] / PER_UNIT;
  }
  return [values, slopes];
}

const beyondTable = new Float64Array(3);

/** log Phi(z) from a table, for loops that cannot afford a scaled erfc each. */
export function logNormalCdf(z: number): number {
  if (z >= TABLE_END) return 0;
  if (z <= -TABLE_END) {
    logNormalCdfInto(beyondTable, z);
    return beyondTable[0];
  }
  const at = (z + TABLE_END) * PER_UNIT;
  const cell = at | 0;
  const t = at - cell;
  const a = LOG_CDF[cell];
  const rise = LOG_CDF[cell + 1] - a;
  const [left, right] = [LOG_CDF_SLOPE[cell] - rise, rise - LOG_CDF_SLOPE[cell + 1]];
  return a + t * (rise + (1 - t) * (left * (1 - t) + right * t));
}
