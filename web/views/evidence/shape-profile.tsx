import * as Plot from '@observablehq/plot';
import { useMemo } from 'react';
import type { Static } from 'typebox';
import type { ShapeProfileSchema } from '../../../server/schemas/evidence-diagnostics.ts';
import { formatRange } from '../../state/evidence-words.ts';
import { formatNumber, formatShare } from '../../state/format.ts';
import { useNarrow } from '../service-life/use-narrow.ts';
import type { Column } from '../shared/data-table.tsx';
import { PLOT_INK } from '../shared/plot-picture.tsx';
import { EvidenceFigure, MarkKey } from './figure.tsx';

type Profile = Static<typeof ShapeProfileSchema>;

/** Each curve less its own largest value, so that all peak at 0. */
interface Point {
  readonly shape: number;
  readonly likelihood: number;
  readonly prior: number | null;
  readonly posterior: number;
}

/** Curves end here: e^-6 of the peak is nothing that the eye would weigh. */
const LOWEST = -6;

/** What the records say about the shape, what was believed of it, and the two together. */
export function ShapeProfile({ profile }: { profile: Profile }) {
  const narrow = useNarrow();
  const points = useMemo(() => belowPeak(profile), [profile]);
  const options = useMemo(() => profileChart(points, profile), [points, profile]);
  const two = (value: number | null) => formatNumber(value, 2);
  const { prior } = profile;
  return (
    <EvidenceFigure
      title="The shape: records and prior"
      name="shape-profile"
      note={
        <>
          Shape {two(profile.best)}
          {profile.lower !== null &&
            profile.upper !== null &&
            ` (${formatRange(profile, two)}, interval of the profile)`}
          : above 1, old seals fail faster than young ones.{' '}
          {prior && `Before the data it was taken to be about ${two(prior.median)} (${formatRange(prior, two)}). `}
          {formatShare(profile.dataShare)} of what is known of it comes from the records.
          <MarkKey
            marks={[
              ['thin-line', 'log-likelihood, all else fitted again'],
              ...(prior ? ([['prior', 'log prior']] as const) : []),
              ['fit', 'the two together'],
            ]}
          />
        </>
      }
      picture={{
        options,
        height: narrow ? 300 : 340,
        label: `Profile of the shape, highest at ${two(profile.best)}, ${formatRange(profile, two)}`,
      }}
      columns={COLUMNS}
      rows={points}
      file={() => [
        ['shape', 'logLikelihood', 'logPrior', 'logPosterior'],
        ...profile.points.map(({ shape, logLikelihood, logPrior, logPosterior }) => [
          ...[shape, logLikelihood, logPrior, logPosterior],
        ]),
      ]}
    />
  );
}

function belowPeak({ points }: Profile): Point[] {
  const peak = (values: readonly (number | null)[]): number =>
    values.reduce<number>((most, value) => Math.max(most, value ?? Number.NEGATIVE_INFINITY), Number.NEGATIVE_INFINITY);
  const likelihoodPeak = peak(points.map(({ logLikelihood }) => logLikelihood));
  const priorPeak = peak(points.map(({ logPrior }) => logPrior));
  const posteriorPeak = peak(points.map(({ logPosterior }) => logPosterior));
  return points.map(({ shape, logLikelihood, logPrior, logPosterior }) => ({
    shape,
    likelihood: logLikelihood - likelihoodPeak,
    prior: logPrior === null ? null : logPrior - priorPeak,
    posterior: logPosterior - posteriorPeak,
  }));
}

function profileChart(points: readonly Point[], { best, lower, upper }: Profile): Plot.PlotOptions {
  const line = (y: keyof Point, more: Plot.LineOptions) =>
    Plot.line(
      points.filter((point) => point[y] !== null),
      { x: 'shape', y, curve: 'monotone-x', ...more },
    );
  return {
    x: { label: 'Shape', labelAnchor: 'center', labelArrow: 'none' },
    y: { domain: [LOWEST, 0.4], label: 'Log, less its peak', labelArrow: 'none', grid: true, ticks: 6 },
    marginLeft: 48,
    marginBottom: 44,
    marginTop: 26,
    clip: true,
    marks: [
      line('likelihood', { stroke: PLOT_INK.ink, strokeWidth: 1.25 }),
      line('prior', { stroke: PLOT_INK.chalk, strokeWidth: 2, strokeDasharray: '6 4' }),
      line('posterior', { stroke: PLOT_INK.accent, strokeWidth: 2.5 }),
      ...(lower !== null && upper !== null
        ? [Plot.ruleY([0.15], { x1: lower, x2: upper, stroke: PLOT_INK.accent, strokeWidth: 3 })]
        : []),
      Plot.dot([best], { x: (shape: number) => shape, y: 0.15, r: 4.5, fill: PLOT_INK.accent }),
    ],
  };
}

/** Two decimals, and no minus before nothing. */
const drop = (value: number | null): string => formatNumber(value !== null && Math.abs(value) < 0.005 ? 0 : value, 2);

const COLUMNS: readonly Column<Point>[] = [
  { key: 'shape', head: 'Shape', numeric: true, cell: ({ shape }) => formatNumber(shape, 3) },
  {
    key: 'likelihood',
    head: 'Log-likelihood less its peak',
    numeric: true,
    cell: ({ likelihood }) => drop(likelihood),
  },
  { key: 'prior', head: 'Prior', numeric: true, cell: ({ prior }) => drop(prior) },
  { key: 'posterior', head: 'Together', numeric: true, cell: ({ posterior }) => drop(posterior) },
];
