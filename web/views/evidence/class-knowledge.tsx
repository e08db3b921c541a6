import { useMemo } from 'react';
import type { Static } from 'typebox';
import type { ClassKnowledgeSchema } from '../../../server/schemas/evidence-diagnostics.ts';
import { formatInterval, formatNumber, formatShare } from '../../state/format.ts';
import { labelOf, SEALANT_CLASS_LABELS } from '../../state/words.ts';
import { lifePairsChart, lifePairsHeight } from '../service-life/life-pairs.ts';
import { useNarrow } from '../service-life/use-narrow.ts';
import type { Column } from '../shared/data-table.tsx';
import { EvidenceFigure, MarkKey } from './figure.tsx';

type Knowledge = Static<typeof ClassKnowledgeSchema>;
type Life = Knowledge['priorLife'];

const nameOf = ({ sealantClass }: Knowledge): string => labelOf(SEALANT_CLASS_LABELS, sealantClass);

/** Median life of each class as believed before the data and as known after. */
export function ClassKnowledge({ classes }: { classes: readonly Knowledge[] }) {
  const narrow = useNarrow();
  const rows = useMemo(() => [...classes].sort((a, b) => b.failures - a.failures), [classes]);
  const pairs = useMemo(
    () => rows.map((row) => ({ label: nameOf(row), first: row.priorLife, second: row.posteriorLife })),
    [rows],
  );
  const options = useMemo(() => lifePairsChart(pairs, narrow), [pairs, narrow]);
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
        height: lifePairsHeight(pairs),
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
