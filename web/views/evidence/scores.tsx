import { useMemo } from 'react';
import type { BacktestEvidence, Comparison, MethodReport } from '../../../server/schemas/evidence-backtest.ts';
import { comparisonSentence, formatRange, METHOD_LABELS, METHOD_MEANINGS } from '../../state/evidence-words.ts';
import { formatNumber, formatShare, NOT_KNOWN } from '../../state/format.ts';
import { labelOf } from '../../state/words.ts';
import { useNarrow } from '../service-life/use-narrow.ts';
import type { Column } from '../shared/data-table.tsx';
import { EvidenceFigure, MarkKey } from './figure.tsx';
import { intervalChart, intervalChartHeight } from './interval-chart.ts';

interface ScoreRow {
  readonly method: MethodReport;
  readonly comparison: Comparison | null;
}

/** The model beside other methods, given the same records: in words, then in scores. */
export function Scores({ backtest }: { backtest: BacktestEvidence }) {
  const { comparisons } = backtest;
  const narrow = useNarrow();
  const rows = useMemo(() => scoreRows(backtest), [backtest]);
  const picture = useMemo(() => {
    const lines = comparisons.map(({ against, logScore: { mean, lower, upper } }) => ({
      ...{ label: labelOf(METHOD_LABELS, against), value: mean, lower, upper },
    }));
    const axis = narrow ? 'Gain in log score per look' : 'Gain of the model in log score per look';
    return {
      options: intervalChart({ lines, axis, narrow, kind: 'difference', reference: 0 }),
      height: intervalChartHeight(lines),
    };
  }, [comparisons, narrow]);
  return (
    <>
      <ul className="comparisons">
        {comparisons.map((comparison) => (
          <li key={comparison.against}>
            {comparisonSentence(comparison)}
            {METHOD_MEANINGS[comparison.against] && (
              <span className="soft small"> That method: {METHOD_MEANINGS[comparison.against]}.</span>
            )}
          </li>
        ))}
      </ul>
      <EvidenceFigure
        title="Gain over other methods"
        name="scores"
        note={
          <>
            Right of 0 the model did better. The log score is minus the natural logarithm of the chance given to what
            was then found, per look; the Brier score is the squared distance of chance and outcome. In both, less is
            better.
            <MarkKey marks={[['estimate', 'gain with its 80 % interval, by resampling whole facilities']]} />
          </>
        }
        picture={{
          ...picture,
          label: comparisons
            .map(({ against, logScore }) => `${labelOf(METHOD_LABELS, against)}: ${formatNumber(logScore.mean, 4)}`)
            .join('; '),
        }}
        tableBelow
        columns={COLUMNS}
        rows={rows}
        file={() => savedScores(rows)}
      />
    </>
  );
}

const scoreRows = ({ model, others, comparisons }: BacktestEvidence): ScoreRow[] =>
  [model, ...others].map((method) => ({
    method,
    comparison: comparisons.find(({ against }) => against === method.name) ?? null,
  }));

const four = (value: number | null | undefined): string => formatNumber(value, 4);

const COLUMNS: readonly Column<ScoreRow>[] = [
  { key: 'method', head: 'Method', cell: ({ method }) => labelOf(METHOD_LABELS, method.name) },
  { key: 'log', head: 'Log score', numeric: true, cell: ({ method }) => four(method.scores?.logScore) },
  {
    key: 'gain',
    head: 'Gain of the model (80 %)',
    numeric: true,
    cell: ({ comparison }) =>
      comparison === null
        ? NOT_KNOWN
        : `${four(comparison.logScore.mean)} (${formatRange(comparison.logScore, (value) => four(value))})`,
  },
  { key: 'skill', head: 'Misfit saved', numeric: true, cell: ({ comparison }) => formatShare(comparison?.logSkill) },
  { key: 'brier', head: 'Brier score', numeric: true, cell: ({ method }) => four(method.scores?.brier) },
  {
    key: 'brierGain',
    head: 'Its gain (80 %)',
    numeric: true,
    cell: ({ comparison }) =>
      comparison === null
        ? NOT_KNOWN
        : `${four(comparison.brier.mean)} (${formatRange(comparison.brier, (value) => four(value))})`,
  },
  { key: 'looks', head: 'Looks', numeric: true, cell: ({ method }) => formatNumber(method.scores?.trials) },
];

const savedScores = (rows: readonly ScoreRow[]) => [
  [
    ...['method', 'looks', 'logScore', 'logScoreGain', 'logScoreGainLower10', 'logScoreGainUpper90', 'logSkill'],
    ...['brier', 'brierGain', 'brierGainLower10', 'brierGainUpper90'],
  ],
  ...rows.map(({ method: { name, scores }, comparison }) => [
    ...[name, scores?.trials ?? null, scores?.logScore ?? null, ...gainCells(comparison?.logScore)],
    ...[comparison?.logSkill ?? null, scores?.brier ?? null, ...gainCells(comparison?.brier)],
  ]),
];

const gainCells = (gain: Comparison['logScore'] | undefined) => [
  gain?.mean ?? null,
  gain?.lower ?? null,
  gain?.upper ?? null,
];
