import { useMemo, useState } from 'react';
import type { ComparisonRow } from '../../../server/schemas/models.ts';
import { type ComparisonMeasure, rankedRows } from '../../state/comparison.ts';
import { comparisonCsv } from '../../state/comparison-csv.ts';
import { formatInterval, formatNumber } from '../../state/format.ts';
import { Switch } from '../shared/controls.tsx';
import { CsvDownload } from '../shared/csv-download.tsx';
import { PlotPicture } from '../shared/plot-picture.tsx';
import { SvgDownload } from '../shared/svg-download.tsx';
import { compareChart, compareChartHeight } from './compare-chart.ts';
import { useNarrow } from './use-narrow.ts';

const MEASURES: readonly { value: ComparisonMeasure; label: string }[] = [
  { value: 'score', label: 'Back-test' },
  { value: 'aic', label: 'AIC' },
  { value: 'lives', label: 'Lives' },
];
const NOTES: Readonly<Record<ComparisonMeasure, string>> = {
  score:
    'Misfit of forecasts to what later looks found (log score, mean for each look), above that of the best: the further left, the better it forecast. Only models with the present threshold are drawn: with another one, other things are forecast.',
  aic: 'AIC above that of the best: below 2 (first dashed line) the records hardly tell two models apart, above 10 (second) they speak clearly against the higher. Only models with the present threshold on the same seals are drawn.',
  lives: 'Median life of an average seal, with its 80 % interval, and the age by which a tenth has failed (open dot).',
};
const MOST_DRAWN = 14;

/** The compared models drawn by one measure, the best on top. All numbers are in the table below. */
export function ComparePicture({ rows }: { rows: readonly ComparisonRow[] }) {
  const [measure, setMeasure] = useState<ComparisonMeasure>('score');
  const narrow = useNarrow();
  const shown = useMemo(() => rankedRows(rows, measure, MOST_DRAWN), [rows, measure]);
  const options = useMemo(() => compareChart(shown, measure, narrow), [shown, measure, narrow]);
  return (
    <figure className="stack">
      <figcaption className="stack">
        <div className="row">
          <Switch label="What is drawn" value={measure} choices={MEASURES} onChange={setMeasure} />
          <SvgDownload name={`compared-models-${measure}`} />
          <CsvDownload name="compared-models" rows={() => comparisonCsv(rows)} />
        </div>
        <p className="small soft">
          {NOTES[measure]} The present model is marked with a ring.
          {measure !== 'lives' && ' The axis is stretched near 0.'}
          {rows.length > shown.length && ` Drawn: ${shown.length} of ${rows.length}; all are in the table.`}
        </p>
      </figcaption>
      {shown.length === 0 ? (
        <p className="small">No model has this measure. The table says what each has.</p>
      ) : (
        <PlotPicture options={options} height={compareChartHeight(shown, narrow)} label={pictureText(shown, measure)} />
      )}
    </figure>
  );
}

function pictureText(rows: readonly ComparisonRow[], measure: ComparisonMeasure): string {
  const value = (row: ComparisonRow): string =>
    measure === 'score'
      ? formatNumber(row.backTestLogScore, 4)
      : measure === 'aic'
        ? formatNumber(row.aicDifference, 1)
        : row.medianLifeYears
          ? formatInterval(row.medianLifeYears, 1, 'years')
          : '';
  const names = { score: 'Back-test log score', aic: 'AIC above the best', lives: 'Median life' };
  return `${names[measure]}: ${rows.map((row) => `${row.label}${row.current ? ' (present)' : ''} ${value(row)}`).join('; ')}`;
}
