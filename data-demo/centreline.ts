import type { Place } from './place.ts';
import type { Draws } from './random.ts';

const STEP_M = 50;

/** Bends from long to short: wave length in m and largest swing of the heading in radians. */
const BENDS = [
  [61_000, 0.3],
  [17_000, 0.22],
  [5_300, 0.14],
  [1_700, 0.05],
] as const;

/** A gently curving route, measured from its beginning. */
export interface Centreline {
  readonly lengthM: number;
  /** The place at a measure, moved `offsetM` to the left. */ at(measureM: number, offsetM: number): Place;
}

/** Follows a heading that is a sum of slow and quick waves, step by step, through a point near the middle. */
export function drawCentreline(draws: Draws, lengthM: number, middle: Place): Centreline {
  const heading0 = draws.between(0, 2 * Math.PI);
  const bends = BENDS.map(([waveM, swing]) => ({
    waveM,
    swing: swing * draws.normal(),
    phase: draws.between(0, 6.28),
  }));
  const steps = Math.ceil(lengthM / STEP_M) + 1;
  const xs = new Float64Array(steps + 1);
  const ys = new Float64Array(steps + 1);
  const headings = new Float64Array(steps + 1);
  for (let i = 0; i <= steps; i++) {
    headings[i] = heading0;
    for (const bend of bends) {
      headings[i] += bend.swing * Math.sin((2 * Math.PI * i * STEP_M) / bend.waveM + bend.phase);
    }
    if (i === 0) continue;
    xs[i] = xs[i - 1] + STEP_M * Math.cos((headings[i - 1] + headings[i]) / 2);
    ys[i] = ys[i - 1] + STEP_M * Math.sin((headings[i - 1] + headings[i]) / 2);
  }
  const half = Math.floor(steps / 2);
  const shift = { x: middle.x - xs[half], y: middle.y - ys[half] };
  return {
    lengthM,
    at: (measureM, offsetM) => {
      const i = Math.min(Math.floor(measureM / STEP_M), steps - 1);
      const part = measureM / STEP_M - i;
      const heading = headings[i] + part * (headings[i + 1] - headings[i]);
      return {
        x: shift.x + xs[i] + part * (xs[i + 1] - xs[i]) - offsetM * Math.sin(heading),
        y: shift.y + ys[i] + part * (ys[i + 1] - ys[i]) + offsetM * Math.cos(heading),
      };
    },
  };
}
