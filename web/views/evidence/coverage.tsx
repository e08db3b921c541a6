import { useMemo, useState } from 'react';
import type { BacktestEvidence } from '../../../server/schemas/evidence-backtest.ts';
import { type CoverageRow, coverageRows } from '../../state/evidence-calibration.ts';
import { formatRange } from '../../state/evidence-words.ts';
import { formatNumber, formatShare } from '../../state/format.ts';
import { useNarrow } from '../service-life/use-narrow.ts';
import { Switch } from '../shared/controls.tsx';
import type { Column } from '../shared/data-table.tsx';
import { EvidenceFigure, MarkKey } from './figure.tsx';
import { intervalChart, intervalChartHeight } from './interval-chart.ts';
import { useMethod } from './use-method.tsx';

type What = CoverageRow['what'];
const WHAT_LABELS: Readonly<Record<What, string>> = {
  'failures in a group': 'Failures in a group',
  'length in a group': 'Length in a group',
  'single lives': 'Single lives',
};
const WHAT_NOTES: Readonly<Record<What, string>> = {
  'failures in a group': 'A group is a district, class and time ahead: its number of failures had an 80 % interval.',
  'length in a group': 'A group is a district, class and time ahead: its failed length had an 80 % interval.',
  'single lives': 'Each seal had an 80 % interval of its life. A seal still sound counts by the chance that it holds.',
};
const AIM = 0.8;

/** How often the 80 % intervals held what was found: 80 % of the time, if they are honest. */
export function CoverageFigure({ backtest }: { backtest: BacktestEvidence }) {
  const { method, picker } = useMethod(backtest, 'Intervals by');
  const all = useMemo(() => coverageRows(method.cells, method.lifeIntervals), [method]);
  const kinds = useMemo(() => [...new Set(all.map(({ what }) => what))], [all]);
  const [chosen, choose] = useState<What>('failures in a group');
  const what = kinds.includes(chosen) ? chosen : kinds[0];
  const rows = useMemo(() => all.filter((row) => row.what === what), [all, what]);
  const narrow = useNarrow();
  const picture = useMemo(() => {
    const lines = rows.map(({ label, share, lower, upper }) => ({
      ...{ label, value: share, lower, upper, forecast: AIM },
      outside: share < lower || share > upper,
    }));
    return {
      options: intervalChart({
        lines,
        axis: 'Held by their 80 % intervals',
        narrow,
        kind: 'share',
        reference: AIM,
        from: 0.5,
      }),
      height: intervalChartHeight(lines),
    };
  }, [rows, narrow]);
  if (what === undefined) return <p>There were too few looks to count how often intervals held.</p>;
  return (
    <EvidenceFigure
      title="Are the intervals honest?"
      name="coverage"
      note={
        <>
          {WHAT_NOTES[what]} About 80 % of them should hold what was found: fewer, and the model is too sure of itself;
          more, and it is too cautious.
          <MarkKey
            marks={[
              ['found', 'share held'],
              ['outside', 'share held, beyond chance'],
              ['band', 'where 80 % of such shares lie by chance'],
            ]}
          />
        </>
      }
      picture={{
        ...picture,
        label: `Share held by 80 % intervals: ${rows.map(({ label, share }) => `${label} ${formatShare(share)}`).join('; ')}`,
      }}
      columns={COLUMNS}
      rows={rows}
      file={() => savedCoverage(method.name, all)}
      controls={
        <>
          {kinds.length > 1 && (
            <Switch
              label="Intervals of"
              value={what}
              onChange={choose}
              choices={kinds.map((value) => ({ value, label: WHAT_LABELS[value] }))}
            />
          )}
          {picker}
        </>
      }
    />
  );
}

const COLUMNS: readonly Column<CoverageRow>[] = [
  { key: 'label', head: 'Of', cell: ({ label }) => label },
  { key: 'share', head: 'Held', numeric: true, cell: ({ share }) => formatShare(share) },
  { key: 'range', head: 'By chance, 80 %', numeric: true, cell: (row) => formatRange(row, formatShare) },
  { key: 'wholly', head: 'Wholly inside', numeric: true, cell: ({ wholly }) => formatShare(wholly) },
  { key: 'count', head: 'Intervals', numeric: true, cell: ({ count }) => formatNumber(count) },
];

const savedCoverage = (method: string, rows: readonly CoverageRow[]) => [
  ['method', 'intervalsOf', 'label', 'share', 'chanceLower10', 'chanceUpper90', 'wholly', 'count'],
  ...rows.map((row) => [method, row.what, row.label, row.share, row.lower, row.upper, row.wholly, row.count]),
];
