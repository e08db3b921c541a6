import * as Plot from '@observablehq/plot';
import { useMemo } from 'react';
import type { Static } from 'typebox';
import type { CoxSnellSchema } from '../../../server/schemas/evidence-diagnostics.ts';
import { formatNumber, formatShare, NOT_KNOWN } from '../../state/format.ts';
import { useNarrow } from '../service-life/use-narrow.ts';
import type { Column } from '../shared/data-table.tsx';
import { PLOT_INK } from '../shared/plot-picture.tsx';
import { EvidenceFigure, MarkKey } from './figure.tsx';

type Check = Static<typeof CoxSnellSchema>;
type Box = Check['boxes'][number];

const CURVE_POINTS = 80;
/** Beyond this e^-x is under 1 %: nothing can be told apart there. */
const LAST_RESIDUAL = 5;

/** Cox–Snell residuals as a survival curve, on that of the unit exponential where the fit is right. */
export function CoxSnell({ check }: { check: Check }) {
  const narrow = useNarrow();
  const options = useMemo(() => coxSnellChart(check.boxes), [check]);
  return (
    <EvidenceFigure
      title="Cox–Snell residuals"
      name="cox-snell"
      note={
        <>
          The fit’s cumulative hazard at each seal’s age, {formatNumber(check.rows)} seals. If the fit is right these
          follow the unit exponential. Largest distance between the two: {formatShare(check.largestGap)} of seals.{' '}
          {check.note}
          <MarkKey
            marks={[
              ['fit', 'unit exponential'],
              ['records', 'residuals (Turnbull): the mass lies somewhere inside each box'],
            ]}
          />
        </>
      }
      picture={{
        options,
        height: narrow ? 300 : 360,
        label: `Share above each residual, beside the unit exponential; largest distance ${formatShare(check.largestGap)}`,
      }}
      columns={COLUMNS}
      rows={check.boxes}
      file={() => [
        ['fromResidual', 'toResidual', 'survivalAfter', 'exponentialAfter'],
        ...check.boxes.map(({ from, to, survivalAfter, exponentialAfter }) => [
          from,
          to,
          survivalAfter,
          exponentialAfter,
        ]),
      ]}
    />
  );
}

function coxSnellChart(boxes: readonly Box[]): Plot.PlotOptions {
  const last = Math.min(LAST_RESIDUAL, Math.max(1, ...boxes.map(({ from, to }) => to ?? from)));
  const drawn = boxes
    .map((box, i) => ({
      x1: box.from,
      x2: Math.min(last, box.to ?? last),
      y1: box.survivalAfter,
      y2: boxes[i - 1]?.survivalAfter ?? 1,
    }))
    .filter(({ x1 }) => x1 < last);
  const curve = Array.from({ length: CURVE_POINTS + 1 }, (_, i) => (i * last) / CURVE_POINTS);
  return {
    x: { domain: [0, last], label: 'Residual (cumulative hazard)', labelAnchor: 'center', labelArrow: 'none' },
    y: {
      domain: [0, 1],
      label: 'Share above it',
      grid: true,
      tickFormat: (share: number) => `${Math.round(100 * share)} %`,
      ticks: 5,
    },
    marginLeft: 48,
    marginBottom: 44,
    marginTop: 26,
    marks: [
      Plot.rect(drawn, {
        ...{ x1: 'x1', x2: 'x2', y1: 'y1', y2: 'y2' },
        ...{ fill: PLOT_INK.chalk, fillOpacity: 0.3, stroke: PLOT_INK.chalk, strokeWidth: 0.75 },
      }),
      Plot.line(curve, {
        x: (x: number) => x,
        y: (x: number) => Math.exp(-x),
        stroke: PLOT_INK.accent,
        strokeWidth: 2.25,
      }),
      Plot.ruleY([0], { stroke: PLOT_INK.line }),
    ],
  };
}

const COLUMNS: readonly Column<Box>[] = [
  { key: 'from', head: 'Residual from', numeric: true, cell: ({ from }) => formatNumber(from, 3) },
  { key: 'to', head: 'to', numeric: true, cell: ({ to }) => (to === null ? NOT_KNOWN : formatNumber(to, 3)) },
  { key: 'share', head: 'Share above', numeric: true, cell: ({ survivalAfter }) => formatShare(survivalAfter) },
  {
    key: 'unit',
    head: 'Unit exponential',
    numeric: true,
    cell: ({ exponentialAfter }) => formatShare(exponentialAfter),
  },
];
