import * as Plot from '@observablehq/plot';
import { useMemo } from 'react';
import type { Curve } from '../../../server/schemas/card.ts';
import { formatDay, formatShare } from '../../state/format.ts';
import { ChartFrame } from '../shared/chart-frame.tsx';
import { DataTable } from '../shared/data-table.tsx';
import { PLOT_INK, PlotPicture } from '../shared/plot-picture.tsx';

interface Point {
  readonly year: number;
  readonly survival: number;
  readonly lower: number;
  readonly upper: number;
}

/** Chance that the seal in place is still sound, from today on, given all that is known of it. */
export function SurvivalChart({ curve, dueYear }: { curve: Curve; dueYear: number | null }) {
  const points = useMemo<Point[]>(
    () =>
      curve.years.map((year, i) => ({
        year,
        survival: curve.survival[i],
        lower: curve.lower[i],
        upper: curve.upper[i],
      })),
    [curve],
  );
  const options = useMemo<Plot.PlotOptions>(() => survivalPlot(points, dueYear), [points, dueYear]);
  if (points.length === 0) return null;
  const known = curve.knownSoundOn === null ? '' : ` It was last found sound on ${formatDay(curve.knownSoundOn)}.`;
  const ends = `${formatShare(points[0].survival)} in ${Math.floor(points[0].year)}, ${formatShare(points[points.length - 1].survival)} in ${Math.floor(points[points.length - 1].year)}`;
  return (
    <ChartFrame
      title="Chance of being still sound"
      note={`The band is the 80 % interval of the model's own uncertainty; it can be narrow where much data went in.${known}`}
      picture={
        <PlotPicture
          options={options}
          height={190}
          label={`Chance that the seal is still sound: ${ends}. The numbers are in the table below.`}
        />
      }
      table={
        <DataTable
          caption="Chance of being still sound"
          captionUnseen
          maxHeight="18rem"
          rows={yearly(points)}
          rowKey={(point) => point.year}
          columns={[
            { key: 'year', head: 'Year', cell: ({ year }) => Math.floor(year) },
            { key: 'survival', head: 'Still sound', numeric: true, cell: ({ survival }) => formatShare(survival) },
            {
              key: 'band',
              head: '80 % interval',
              numeric: true,
              cell: ({ lower, upper }) => `${formatShare(lower)} to ${formatShare(upper)}`,
            },
          ]}
        />
      }
    />
  );
}

/** The first point of each calendar year. */
function yearly(points: readonly Point[]): Point[] {
  return points.filter(({ year }, i) => i === 0 || Math.floor(year) !== Math.floor(points[i - 1].year));
}

function survivalPlot(points: readonly Point[], dueYear: number | null): Plot.PlotOptions {
  const [first, last] = [points[0]?.year ?? 0, points[points.length - 1]?.year ?? 1];
  const marks: Plot.Markish[] = [
    Plot.areaY(points, { x: 'year', y1: 'lower', y2: 'upper', fill: PLOT_INK.accent, fillOpacity: 0.18 }),
    Plot.lineY(points, { x: 'year', y: 'survival', stroke: PLOT_INK.accent, strokeWidth: 2 }),
    Plot.ruleY([0], { stroke: PLOT_INK.line }),
  ];
  if (dueYear !== null && dueYear <= last) {
    const x = Math.max(first, dueYear);
    const late = x > first + (last - first) * 0.7;
    marks.push(
      Plot.ruleX([x], { stroke: PLOT_INK.chalk, strokeWidth: 1.5, strokeDasharray: '4 3' }),
      Plot.text([x], {
        x: (d) => d,
        frameAnchor: 'top',
        text: () => `reseal ${dueYear}`,
        textAnchor: late ? 'end' : 'start',
        lineAnchor: 'bottom',
        dy: -5,
        dx: late ? 3 : -3,
        fill: PLOT_INK.chalk,
      }),
    );
  }
  return {
    marginLeft: 44,
    marginRight: 12,
    marginTop: 24,
    x: { label: null, tickFormat: 'd', tickSpacing: 72, domain: [first, last] },
    y: {
      label: null,
      domain: [0, 1],
      ticks: 5,
      tickFormat: (share: number) => `${Math.round(share * 100)} %`,
      grid: true,
    },
    marks,
  };
}
