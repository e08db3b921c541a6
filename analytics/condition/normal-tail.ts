import erfcx from '@stdlib/math-base-special-erfcx';

const HALF_SQRT_2_OVER_PI = 0.5 * Math.sqrt(2 / Math.PI);
/** Beyond it the tail is below 1e-15 and adds nothing. */
const CERTAIN = 8;

/** Writes log Phi(z) and its first two derivatives to out[0..2]; one scaled erfc for all three. */
function exactInto(out: Float64Array, z: number): void {
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

/** Steps of the table per unit of z; the cubics between them are off by less than 1e-9. */
const PER_UNIT = 64;
const TABLE_END = CERTAIN;
/** log Phi and its derivatives per step at every step. */
const [VALUES, SLOPES, CURVATURES] = tables();

function tables(): [Float64Array, Float64Array, Float64Array] {
  const cells = 2 * TABLE_END * PER_UNIT;
  const made = [0, 1, 2].map(() => new Float64Array(cells + 1));
  const out = new Float64Array(3);
  for (let k = 0; k <= cells; k++) {
    exactInto(out, k / PER_UNIT - TABLE_END);
    for (let order = 0; order < 3; order++) made[order][k] = out[order] / PER_UNIT ** order;
  }
  return [made[0], made[1], made[2]];
}

const beyondTable = new Float64Array(3);

/** log Phi(z) from a table, for loops that cannot afford a scaled erfc each. */
export function logNormalCdf(z: number): number {
  if (z >= TABLE_END) return 0;
  if (z <= -TABLE_END) {
    exactInto(beyondTable, z);
    return beyondTable[0];
  }
  const at = (z + TABLE_END) * PER_UNIT;
  const cell = at | 0;
  return between(at - cell, cell, VALUES, SLOPES);
}

/** The same with its first two derivatives, to out[0..2]. */
export function logNormalCdfInto(out: Float64Array, z: number): void {
  if (z >= TABLE_END || z <= -TABLE_END) {
    exactInto(out, z);
    return;
  }
  const at = (z + TABLE_END) * PER_UNIT;
  const cell = at | 0;
  out[0] = between(at - cell, cell, VALUES, SLOPES);
  const slope = PER_UNIT * between(at - cell, cell, SLOPES, CURVATURES);
  out[1] = slope;
  out[2] = -slope * (z + slope);
}

/** Cubic of a cell from values and slopes at its ends. */
function between(t: number, cell: number, values: Float64Array, slopes: Float64Array): number {
  const a = values[cell];
  const rise = values[cell + 1] - a;
  const left = slopes[cell] - rise;
  const right = rise - slopes[cell + 1];
  return a + t * (rise + (1 - t) * (left * (1 - t) + right * t));
}
