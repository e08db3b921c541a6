import { useMemo, useState } from 'react';
import type { BacktestEvidence } from '../../../server/schemas/evidence-backtest.ts';
import {
  CALIBRATION_BY_LABELS,
  CALIBRATION_GROUPS,
  type CalibrationBy,
  type CountedBy,
  calibrationRows,
  type FoundRow,
  isOutside,
} from '../../state/evidence-calibration.ts';
import { formatRange } from '../../state/evidence-words.ts';
import { formatLength, formatNumber, formatShare } from '../../state/format.ts';
import type { Units } from '../../state/units.ts';
import { useNarrow } from '../service-life/use-narrow.ts';
import { Switch } from '../shared/controls.tsx';
import type { Column } from '../shared/data-table.tsx';
import { useUnits } from '../shared/preferences.ts';
import { calibrationChart } from './calibration-chart.ts';
import { EvidenceFigure, MarkKey } from './figure.tsx';
import { intervalChart, intervalChartHeight } from './interval-chart.ts';
import { useMethod } from './use-method.tsx';

const CHART_HEIGHT = 380;

/** Forecast share failing against share found, by tenths or by group, for the model or for a simple method. */
export function Calibration({ backtest, csvHref }: { backtest: BacktestEvidence; csvHref: string }) {
  const [by, setBy] = useState<CalibrationBy>('tenth');
  const [counted, setCounted] = useState<CountedBy>('looks');
  const { method, picker } = useMethod(backtest, 'Forecasts of');
  const rows = useMemo(() => calibrationRows(method, by, counted), [method, by, counted]);
  const narrow = useNarrow();
  const units = useUnits();
  const picture = useMemo(() => pictureOf(rows, by, narrow), [rows, by, narrow]);
  const columns = useMemo(() => columnsFor(by, counted, units), [by, counted, units]);
  const outside = rows.filter(isOutside).length;
  return (
    <EvidenceFigure
      title="Forecast against found"
      name={`calibration-${by}`}
      note={
        <>
          Of the looks that were given a certain chance of finding a failure, that share should have found one. Four in
          five marks should lie inside their bar; {outside} of {rows.length} here do not.
          <MarkKey
            marks={[
              ['found', 'found'],
              ['outside', 'found, outside its bar'],
              ['band', by === 'tenth' ? 'where chance alone puts it, 80 %' : 'the forecast with its 80 % interval'],
            ]}
          />
        </>
      }
      picture={{ ...picture, label: `${CALIBRATION_BY_LABELS[by]}, forecast and found: ${said(rows)}` }}
      columns={columns}
      rows={rows}
      file={csvHref}
      controls={
        <>
          <Switch
            label="Group the looks by"
            value={by}
            onChange={setBy}
            choices={CALIBRATION_GROUPS.map((value) => ({ value, label: CALIBRATION_BY_LABELS[value] }))}
          />
          <Switch
            label="Count by"
            value={counted}
            onChange={setCounted}
            choices={[
              { value: 'looks', label: 'Looks' },
              { value: 'length', label: 'Length' },
            ]}
          />
          {picker}
        </>
      }
    />
  );
}

function pictureOf(rows: readonly FoundRow[], by: CalibrationBy, narrow: boolean) {
  if (by === 'tenth') return { options: calibrationChart(rows, narrow), height: narrow ? 320 : CHART_HEIGHT };
  const lines = rows.map((row) => ({ ...row, value: row.found, outside: isOutside(row) }));
  const options = intervalChart({ lines, axis: 'Share failed', narrow, kind: 'share', reference: null });
  return { options, height: intervalChartHeight(lines) };
}

const said = (rows: readonly FoundRow[]): string =>
  rows.map(({ label, forecast, found }) => `${label}: ${formatShare(forecast)} and ${formatShare(found)}`).join('; ');

function columnsFor(by: CalibrationBy, counted: CountedBy, units: Units): Column<FoundRow>[] {
  const amount = (value: number) => (counted === 'looks' ? formatNumber(value) : formatLength(value, units));
  const failed = counted === 'looks' ? 'Looks that found it' : 'Length found';
  return [
    { key: 'group', head: CALIBRATION_BY_LABELS[by], cell: ({ label }) => label },
    { key: 'forecast', head: 'Forecast', numeric: true, cell: ({ forecast }) => formatShare(forecast) },
    { key: 'found', head: 'Found', numeric: true, cell: (row) => <Found row={row} /> },
    { key: 'range', head: 'Expected, 80 %', numeric: true, cell: (row) => formatRange(row, formatShare) },
    { key: 'amount', head: failed, numeric: true, cell: ({ foundAmount }) => amount(foundAmount) },
    { key: 'looks', head: 'Looks', numeric: true, cell: ({ trials }) => formatNumber(trials) },
  ];
}

const Found = ({ row }: { row: FoundRow }) => (
  <>
    {isOutside(row) && (
      <>
        <span aria-hidden="true">◆ </span>
        <span className="unseen">outside the interval: </span>
      </>
    )}
    {formatShare(row.found)}
  </>
);
