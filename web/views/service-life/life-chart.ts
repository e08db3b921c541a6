import * as Plot from '@observablehq/plot';
import type { ClassLife } from '../../../server/schemas/model.ts';
import { PLOT_INK } from '../shared/plot-picture.tsx';

interface LifeChartOptions {
  /** Last age drawn, years: the same for all classes, so that they can be compared. */ readonly lastYear: number;
  readonly large: boolean;
}

const percent = (share: number): string => `${Math.round(share * 100)} %`;

/**
 * Chance of being sound by age: fitted curve with its 80 % band, over Turnbull's estimate as boxes. Inside a box the
 * data do not say when seals failed, only that they did between its two ages; so a box is drawn and not a step.
 */
export function lifeChart(life: ClassLife, { lastYear, large }: LifeChartOptions): Plot.PlotOptions {
  const curve = life.curve.years
    .map((year, i) => ({
      year,
      survival: life.curve.survival[i],
      lower: life.curve.lower[i],
      upper: life.curve.upper[i],
    }))
    .filter(({ year }) => year <= lastYear);
  const boxes = life.turnbull
    .filter(({ fromYears }) => fromYears < lastYear)
    .map((box) => ({ ...box, toYears: Math.min(box.toYears ?? lastYear, lastYear) }));
  const flats = boxes.slice(1).map((box, i) => ({
    fromYears: boxes[i].toYears,
    toYears: box.fromYears,
    survival: box.survivalBefore,
  }));
  const { median, lower, upper } = life.medianLifeYears;
  return {
    x: {
      domain: [0, lastYear],
      label: large ? 'Age of the seal, years' : null,
      ticks: large ? 10 : smallTicks(lastYear),
    },
    y: {
      domain: [0, 1],
      label: large ? 'Still sound' : null,
      grid: true,
      tickFormat: percent,
      ticks: large ? 5 : 2,
    },
    marginLeft: 44,
    marginRight: 10,
    marginBottom: large ? 42 : 24,
    marginTop: large ? 24 : 10,
    marks: [
      Plot.areaY(curve, { x: 'year', y1: 'lower', y2: 'upper', fill: PLOT_INK.accent, fillOpacity: 0.22 }),
      Plot.rect(boxes, {
        x1: 'fromYears',
        x2: 'toYears',
        y1: 'survivalAfter',
        y2: 'survivalBefore',
        fill: PLOT_INK.chalk,
        fillOpacity: 0.3,
        stroke: PLOT_INK.chalk,
        strokeWidth: 0.75,
      }),
      Plot.link(flats, {
        x1: 'fromYears',
        x2: 'toYears',
        y1: 'survival',
        y2: 'survival',
        stroke: PLOT_INK.chalk,
        strokeWidth: 1.25,
      }),
      Plot.line(curve, { x: 'year', y: 'survival', stroke: PLOT_INK.accent, strokeWidth: 2.25 }),
      ...(upper <= lastYear
        ? [
            Plot.ruleY([0.5], { x1: lower, x2: upper, stroke: PLOT_INK.ink, strokeWidth: 1.5 }),
            Plot.dot([median], { x: (year: number) => year, y: 0.5, r: large ? 4.5 : 3, fill: PLOT_INK.ink }),
          ]
        : []),
      Plot.ruleY([0], { stroke: PLOT_INK.line }),
    ],
  };
}

/** Few enough ages to be read under a small picture. */
const smallTicks = (lastYear: number): number[] => {
  const step = lastYear > 40 ? 20 : lastYear > 15 ? 10 : 5;
  return Array.from({ length: Math.floor(lastYear / step) + 1 }, (_, i) => i * step);
};

/** An age that shows the falling part of every curve, and no further than the curves go. */
export function lastYearShown(lives: readonly ClassLife[]): number {
  const longest = Math.max(10, ...lives.map(({ medianLifeYears }) => medianLifeYears.median * 1.7));
  const drawn = Math.max(10, ...lives.flatMap(({ curve }) => curve.years.slice(-1)));
  return Math.min(drawn, Math.ceil(longest / 5) * 5);
}
