import type { Place } from './place.ts';
import type { Draws } from './random.ts';

const STEP_M = 50;

/** Bends from long to short: wave length in m and largest swing of the heading in radians. */
const BENDS = [
  [61_000, 0.35],
  [17_000, 0.22],
  [5_300, 0.09],
  [1_700, 0.03],
] as const;

/** A gently curving route, measured from its beginning. */
export interface Centreline {
  readonly lengthM: number;
  /** The place at a measure, moved `offsetM` to the left. */ at(measureM: number, offsetM: number): Place;
  /** Radians from east. */ headingAt(measureM: number): number;
}

/** Follows a heading that is a sum of slow and quick waves about `heading0` (radians from east), step by step. */
export function drawCentreline(draws: Draws, lengthM: number, start: Place, heading0: number): Centreline {
  const bends = BENDS.map(([waveM, swing]) => ({
    waveM: waveM * draws.between(0.7, 1.4),
    swing: swing * draws.between(0.4, 1.2),
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
  return {
    lengthM,
    headingAt: (measureM) => headings[Math.min(Math.floor(measureM / STEP_M), steps)],
    at: (measureM, offsetM) => {
      const i = Math.min(Math.floor(measureM / STEP_M), steps - 1);
      const part = measureM / STEP_M - i;
      const heading = headings[i] + part * (headings[i + 1] - headings[i]);
      return {
        x: start.x + xs[i] + part * (xs[i + 1] - xs[i]) - offsetM * Math.sin(heading),
        y: start.y + ys[i] + part * (ys[i + 1] - ys[i]) + offsetM * Math.cos(heading),
      };
    },
  };
}
