import * as Plot from '@observablehq/plot';
import { useQuery } from '@tanstack/react-query';
import { useMemo } from 'react';
import type { SegmentCard } from '../../../server/schemas/card.ts';
import { formatCount, formatDay, formatDayRange, formatShare } from '../../state/format.ts';
import { INSPECTION_METHOD_LABELS, labelOf } from '../../state/words.ts';
import { ChartFrame } from '../shared/chart-frame.tsx';
import { DataTable } from '../shared/data-table.tsx';
import { PLOT_INK, PlotPicture } from '../shared/plot-picture.tsx';
import { settingsQuery } from '../shared/queries.ts';
import { historyEvents, historyMarks } from './history.ts';

/** What was installed and what was seen, on one axis of time. */
export function HistoryChart({ card }: { card: SegmentCard }) {
  const { data: settings } = useQuery(settingsQuery);
  const threshold = settings?.failureThresholdShare ?? null;
  const options = useMemo(() => historyPlot(card, threshold), [card, threshold]);
  const events = useMemo(() => historyEvents(card), [card]);
  if (events.length === 0) return <p className="small soft">No seals and no inspections are recorded.</p>;
  const last = card.inspections.at(-1);
  const seen = last
    ? `The last, on ${formatDay(last.inspectedOn)}, found ${formatShare(last.damagedShare)} damaged.`
    : '';
  return (
    <ChartFrame
      title="History"
      note={
        <>
          Damaged share of length at each inspection; upright lines are installations
          {threshold !== null && `; failed from ${formatShare(threshold)}`}. Squares are another method of rating, never
          joined to the circles.
        </>
      }
      picture={
        <PlotPicture
          options={options}
          height={190}
          label={`History: ${formatCount(card.seals.length, 'seal')}, ${formatCount(card.inspections.length, 'inspection')}. ${seen} The numbers are in the table below.`}
        />
      }
      table={
        <DataTable
          caption="History"
          captionUnseen
          maxHeight="18rem"
          rows={events}
          rowKey={(event) => event.key}
          columns={[
            { key: 'when', head: 'When', cell: ({ from, to }) => formatDayRange(from, to) },
            { key: 'what', head: 'What', cell: ({ what }) => what },
            { key: 'damaged', head: 'Damaged', numeric: true, cell: ({ damagedShare }) => formatShare(damagedShare) },
          ]}
        />
      }
    />
  );
}

function historyPlot(card: SegmentCard, threshold: number | null): Plot.PlotOptions {
  const { sights, strings, installs } = historyMarks(card);
  const top = Math.max(0.2, (threshold ?? 0) * 1.4, ...sights.map(({ share }) => share * 1.15));
  const first = Math.min(...installs.map(({ from }) => +from), ...sights.map(({ on }) => +on));
  const final = Math.max(...installs.map(({ to }) => +to), ...sights.map(({ on }) => +on));
  const room = (final - first) * 0.04 + 1e10;
  const marks: Plot.Markish[] = [
    Plot.rectX(installs, { x1: 'from', x2: 'to', fill: PLOT_INK.chalk, fillOpacity: 0.22 }),
    Plot.ruleX(installs, { x: 'middle', stroke: PLOT_INK.chalk, strokeWidth: 1.5 }),
    Plot.text(installs, {
      x: 'middle',
      frameAnchor: 'top',
      text: 'year',
      lineAnchor: 'bottom',
      dy: -5,
      fill: PLOT_INK.chalk,
    }),
    Plot.ruleY([0], { stroke: PLOT_INK.line }),
    Plot.lineY(strings, { x: 'on', y: 'share', z: 'string', stroke: PLOT_INK.accent, strokeWidth: 1.5 }),
    Plot.dot(sights, {
      x: 'on',
      y: 'share',
      symbol: 'symbol',
      r: 4,
      fill: PLOT_INK.accent,
      stroke: 'var(--slab)',
      title: ({ on, share, method }) =>
        `${formatDay(on.toISOString())}: ${formatShare(share)} damaged. ${labelOf(INSPECTION_METHOD_LABELS, method)}`,
    }),
  ];
  if (threshold !== null) marks.push(Plot.ruleY([threshold], { stroke: PLOT_INK.fault, strokeDasharray: '5 3' }));
  return {
    marginLeft: 44,
    marginRight: 12,
    marginTop: 24,
    x: { type: 'utc', label: null, tickSpacing: 72, domain: [new Date(first - room), new Date(final + room)] },
    y: {
      label: null,
      domain: [0, Math.min(1.05, top)],
      ticks: 5,
      tickFormat: (share: number) => `${Math.round(share * 100)} %`,
      grid: true,
    },
    symbol: { range: ['circle', 'square'], domain: ['circle', 'square'] },
    marks,
  };
}
