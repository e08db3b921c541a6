// Loops by hand: Float64Array.from with a function takes ten times as long, which on a million rows is longer than a fit.

/** The entries at some places. */
export function pick(from: Float64Array, places: Int32Array): Float64Array {
  const out = new Float64Array(places.length);
  for (let k = 0; k < places.length; k++) out[k] = from[places[k]];
  return out;
}

/** Some rows of a row-major table. */
export function pickRows(from: Float64Array, rows: Int32Array, columns: number): Float64Array {
  const out = new Float64Array(rows.length * columns);
  for (let k = 0; k < rows.length; k++)
    for (let j = 0; j < columns; j++) out[k * columns + j] = from[rows[k] * columns + j];
  return out;
}
