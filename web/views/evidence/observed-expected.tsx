import { useMemo, useState } from 'react';
import type { Static } from 'typebox';
import type { ObservedExpected, ObservedExpectedReportSchema } from '../../../server/schemas/evidence-diagnostics.ts';
import { formatRange } from '../../state/evidence-words.ts';
import { formatNumber } from '../../state/format.ts';
import { CLIMATE_ZONE_LABELS, labelOf, SEALANT_CLASS_LABELS } from '../../state/words.ts';
import { useNarrow } from '../service-life/use-narrow.ts';
import { Switch } from '../shared/controls.tsx';
import type { Column } from '../shared/data-table.tsx';
import { EvidenceFigure, MarkKey } from './figure.tsx';
import { intervalChart, intervalChartHeight } from './interval-chart.ts';

type Report = Static<typeof ObservedExpectedReportSchema>;

const GROUPS = ['byDecile', 'byAge', 'byClass', 'byZone'] as const;
type Group = (typeof GROUPS)[number];
const GROUP_LABELS: Readonly<Record<Group, string>> = {
  byDecile: 'Tenth of chance',
  byAge: 'Age',
  byClass: 'Sealant class',
  byZone: 'Climate zone',
};
const ROW_LABELS: Readonly<Record<Group, (label: string) => string>> = {
  byDecile: (label) => label.charAt(0).toUpperCase() + label.slice(1),
  byAge: (label) => label,
  byClass: (label) => labelOf(SEALANT_CLASS_LABELS, label),
  byZone: (label) => labelOf(CLIMATE_ZONE_LABELS, label),
};

/** Failures found in inspection intervals over those that the fit expects in them. */
export function ObservedExpectedFigure({ report, csvHref }: { report: Report; csvHref: string }) {
  const [group, setGroup] = useState<Group>('byDecile');
  const narrow = useNarrow();
  const rows = useMemo(
    () => [
      { ...report.overall, label: 'All' },
      ...report[group].map((row) => ({ ...row, label: ROW_LABELS[group](row.label) })),
    ],
    [report, group],
  );
  const picture = useMemo(() => {
    const lines = rows.map(({ label, ratio, interval }) => ({
      ...{ label, value: ratio, lower: interval?.lower ?? null, upper: interval?.upper ?? null },
      outside: isOff(interval),
    }));
    const options = intervalChart({ lines, axis: 'Found over expected', narrow, kind: 'ratio', reference: 1 });
    return { options, height: intervalChartHeight(lines) };
  }, [rows, narrow]);
  return (
    <EvidenceFigure
      title="Failures found and expected"
      name={`observed-expected-${group.slice(2).toLowerCase()}`}
      note={
        <>
          Each inspection of a seal last seen sound is a trial, with the fit’s chance that it failed in between. At 1 as
          many failed as the fit expects; right of 1 more did.
          {group === 'byDecile' &&
            ' Tenths run from the tenth of trials with the smallest chances to that with the largest.'}
          <MarkKey
            marks={[
              ['estimate', 'ratio with its exact 80 % interval'],
              ['outside', 'interval leaves out 1'],
            ]}
          />
        </>
      }
      picture={{
        ...picture,
        label: `Found over expected: ${rows.map(({ label, ratio }) => `${label} ${formatNumber(ratio, 2)}`).join('; ')}`,
      }}
      columns={COLUMNS}
      rows={rows}
      file={csvHref}
      controls={
        <Switch
          label="Group the intervals by"
          value={group}
          onChange={setGroup}
          choices={GROUPS.map((value) => ({ value, label: GROUP_LABELS[value] }))}
        />
      }
    />
  );
}

const isOff = (interval: ObservedExpected['interval']): boolean =>
  interval !== null && (interval.lower > 1 || interval.upper < 1);

const COLUMNS: readonly Column<ObservedExpected>[] = [
  { key: 'label', head: 'Group', cell: ({ label }) => label },
  { key: 'observed', head: 'Found', numeric: true, cell: ({ observed }) => formatNumber(observed) },
  { key: 'expected', head: 'Expected', numeric: true, cell: ({ expected }) => formatNumber(expected, 1) },
  { key: 'ratio', head: 'Ratio', numeric: true, cell: ({ ratio }) => formatNumber(ratio, 2) },
  {
    key: 'interval',
    head: '80 % interval',
    numeric: true,
    cell: ({ interval }) => formatRange(interval, (value) => formatNumber(value, 2)),
  },
  { key: 'trials', head: 'Inspection intervals', numeric: true, cell: ({ trials }) => formatNumber(trials) },
];
