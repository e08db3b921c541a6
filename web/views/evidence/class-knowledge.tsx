import * as Plot from '@observablehq/plot';
import { useMemo } from 'react';
import type { Static } from 'typebox';
import type { ClassKnowledgeSchema } from '../../../server/schemas/evidence-diagnostics.ts';
import { formatInterval, formatNumber, formatShare } from '../../state/format.ts';
import { labelOf, SEALANT_CLASS_LABELS } from '../../state/words.ts';
import { useNarrow } from '../service-life/use-narrow.ts';
import type { Column } from '../shared/data-table.tsx';
import { PLOT_INK } from '../shared/plot-picture.tsx';
import { EvidenceFigure, MarkKey } from './figure.tsx';
import { logAxisX } from './log-axis.ts';

type Knowledge = Static<typeof ClassKnowledgeSchema>;
type Life = Knowledge['priorLife'];

const nameOf = ({ sealantClass }: Knowledge): string => labelOf(SEALANT_CLASS_LABELS, sealantClass);

/** Median life of each class as believed before the data and as known after. */
export function ClassKnowledge({ classes }: { classes: readonly Knowledge[] }) {
  const narrow = useNarrow();
  const rows = useMemo(() => [...classes].sort((a, b) => b.failures - a.failures), [classes]);
  const options = useMemo(() => knowledgeChart(rows, narrow), [rows, narrow]);
  return (
    <EvidenceFigure
      title="Before and after the data"
      name="prior-posterior"
      note={
        <>
          Median life of each class. Where few seals have failed the belief from before decides; it is worth as many
          observed failures as the table says.
          <MarkKey
            marks={[
              ['prior', 'before, with its 80 % interval'],
              ['estimate', 'after, with its 80 % interval'],
            ]}
          />
        </>
      }
      picture={{
        options,
        height: 64 + rows.length * 38,
        label: rows
          .map((row) => `${nameOf(row)}: ${years(row.priorLife)}, then ${years(row.posteriorLife)}`)
          .join('; '),
      }}
      tableBelow
      columns={COLUMNS}
      rows={rows}
      file={() => saved(rows)}
    />
  );
}

const years = (life: Life): string => formatInterval(life, 1, 'years');

function knowledgeChart(rows: readonly Knowledge[], narrow: boolean): Plot.PlotOptions {
  const ends = rows.flatMap(({ priorLife, posteriorLife }) => [priorLife, posteriorLife]);
  const domain = [
    Math.min(...ends.map(({ lower }) => lower)) * 0.95,
    Math.max(...ends.map(({ upper }) => upper)) * 1.05,
  ];
  const all = narrow ? [1, 2, 5, 10, 20, 50, 100] : [1, 2, 3, 5, 7, 10, 15, 20, 30, 50, 70, 100];
  const ticks = all.filter((age) => age >= domain[0] && age <= domain[1]);
  const part = (lifeOf: (row: Knowledge) => Life, dy: number, colour: string, dash?: string) => [
    Plot.ruleY(rows, {
      x1: (row: Knowledge) => lifeOf(row).lower,
      x2: (row: Knowledge) => lifeOf(row).upper,
      y: nameOf,
      dy,
      stroke: colour,
      strokeWidth: 3,
      strokeDasharray: dash,
    }),
    Plot.dot(rows, {
      x: (row: Knowledge) => lifeOf(row).median,
      y: nameOf,
      dy,
      r: 4.5,
      fill: colour,
      stroke: 'var(--slab)',
    }),
  ];
  return {
    x: { type: 'log', domain, ticks, grid: true, axis: null },
    y: { domain: rows.map(nameOf), label: null, axis: null },
    marginLeft: narrow ? 124 : 204,
    marginRight: 18,
    marginBottom: 44,
    marginTop: 10,
    marks: [
      Plot.axisY({ tickSize: 0, lineWidth: narrow ? 9 : 15, label: null }),
      logAxisX(ticks, 'Median life, years'),
      ...part(({ priorLife }) => priorLife, -6, PLOT_INK.chalk, '6 4'),
      ...part(({ posteriorLife }) => posteriorLife, 6, PLOT_INK.accent),
    ],
  };
}

const COLUMNS: readonly Column<Knowledge>[] = [
  { key: 'class', head: 'Sealant class', cell: nameOf },
  { key: 'prior', head: 'Before, years (80 %)', numeric: true, cell: ({ priorLife }) => formatInterval(priorLife, 1) },
  {
    key: 'after',
    head: 'After, years (80 %)',
    numeric: true,
    cell: ({ posteriorLife }) => formatInterval(posteriorLife, 1),
  },
  {
    key: 'worth',
    head: 'Prior worth',
    numeric: true,
    cell: ({ priorWorthFailures }) => `${formatNumber(priorWorthFailures, 1)} failures`,
  },
  { key: 'data', head: 'From the data', numeric: true, cell: ({ dataShare }) => formatShare(dataShare) },
  { key: 'failures', head: 'Seen to fail', numeric: true, cell: ({ failures }) => formatNumber(failures) },
  { key: 'seals', head: 'Seals', numeric: true, cell: ({ seals }) => formatNumber(seals) },
  { key: 'exposure', head: 'Years watched', numeric: true, cell: ({ exposureYears }) => formatNumber(exposureYears) },
];

const saved = (rows: readonly Knowledge[]) => [
  [
    ...['sealantClass', 'seals', 'failures', 'exposureYears', 'priorMedianYears', 'priorLower10', 'priorUpper90'],
    ...['medianYears', 'lower10', 'upper90', 'priorWorthFailures', 'dataShare'],
  ],
  ...rows.map(
    ({ sealantClass, seals, failures, exposureYears, priorLife, posteriorLife, priorWorthFailures, dataShare }) => [
      ...[sealantClass, seals, failures, exposureYears, priorLife.median, priorLife.lower, priorLife.upper],
      ...[posteriorLife.median, posteriorLife.lower, posteriorLife.upper, priorWorthFailures, dataShare],
    ],
  ),
];
