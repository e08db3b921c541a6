import { useState } from 'react';
import type { ComparisonRow } from '../../../server/schemas/models.ts';
import type { Settings } from '../../../server/schemas/settings.ts';
import { notComparableBecause, settingsToAdopt } from '../../state/comparison.ts';
import { formatInterval, formatNumber, NOT_KNOWN } from '../../state/format.ts';
import { type Column, DataTable } from '../shared/data-table.tsx';
import { AdoptDialog } from './adopt-dialog.tsx';

/** Every compared model with all its measures, and the button that adopts it. */
export function CompareTable({ rows, settings }: { rows: readonly ComparisonRow[]; settings: Settings }) {
  const [chosen, choose] = useState<ComparisonRow | null>(null);
  const present = rows.find(({ current }) => current);
  return (
    <>
      <DataTable
        caption="Compared models"
        captionUnseen
        rows={rows}
        rowKey={({ label }, index) => `${index} ${label}`}
        columns={columns({ present, adopt: choose })}
      />
      <AdoptDialog
        row={chosen}
        settings={settings}
        next={chosen && settingsToAdopt(chosen, settings)}
        onClose={() => choose(null)}
      />
    </>
  );
}

function columns({
  present,
  adopt,
}: {
  present: ComparisonRow | undefined;
  adopt: (row: ComparisonRow) => void;
}): Column<ComparisonRow>[] {
  return [
    { key: 'model', head: 'Model', cell: (row) => <ModelName row={row} /> },
    { key: 'adopt', head: 'Adopt', cell: (row) => <Adopt row={row} adopt={adopt} /> },
    {
      key: 'score',
      head: 'Back-test log score (looks)',
      numeric: true,
      cell: ({ backTestLogScore, backTestTrials }) =>
        backTestLogScore === null
          ? NOT_KNOWN
          : `${formatNumber(backTestLogScore, 4)} (${formatNumber(backTestTrials)})`,
    },
    {
      key: 'difference',
      head: 'AIC above the best',
      numeric: true,
      cell: ({ aicDifference }) => formatNumber(aicDifference, 1),
    },
    { key: 'aic', head: 'AIC', numeric: true, cell: ({ aic }) => formatNumber(aic, 1) },
    { key: 'aicc', head: 'AICc', numeric: true, cell: ({ aicc }) => formatNumber(aicc, 1) },
    { key: 'bic', head: 'BIC', numeric: true, cell: ({ bic }) => formatNumber(bic, 1) },
    {
      key: 'likelihood',
      head: 'Log-likelihood',
      numeric: true,
      cell: ({ logLikelihood }) => formatNumber(logLikelihood, 2),
    },
    { key: 'parameters', head: 'Parameters', numeric: true, cell: ({ parameters }) => formatNumber(parameters) },
    {
      key: 'failures',
      head: 'Failed, of seals used',
      numeric: true,
      cell: ({ failures, observations }) => `${formatNumber(failures)} of ${formatNumber(observations)}`,
    },
    {
      key: 'median',
      head: 'Median life, years (80 %)',
      numeric: true,
      cell: ({ medianLifeYears }) => (medianLifeYears ? formatInterval(medianLifeYears, 1) : NOT_KNOWN),
    },
    {
      key: 'tenth',
      head: 'A tenth failed by, years (80 %)',
      numeric: true,
      cell: ({ tenPercentLifeYears }) => (tenPercentLifeYears ? formatInterval(tenPercentLifeYears, 1) : NOT_KNOWN),
    },
    {
      key: 'comparable',
      head: 'AIC and BIC compare',
      cell: (row) => <span className="words short">{comparableText(row, present)}</span>,
    },
    { key: 'words', head: 'In words', cell: (row) => <InWords row={row} /> },
  ];
}

const comparableText = (row: ComparisonRow, present: ComparisonRow | undefined): string => {
  const because = notComparableBecause(row, present);
  return because === null ? 'yes' : `no: ${because}`;
};

const ModelName = ({ row }: { row: ComparisonRow }) => (
  <span className="words">
    {row.label} {row.current && <span className="badge accent">present</span>}
  </span>
);

function Adopt({ row, adopt }: { row: ComparisonRow; adopt: (row: ComparisonRow) => void }) {
  if (row.current) return <span className="soft">in use</span>;
  if (!row.adoptable) return <span className="soft">{row.converged ? 'referee only' : 'no fit'}</span>;
  return (
    <button type="button" className="button" aria-label={`Adopt: ${row.label}`} onClick={() => adopt(row)}>
      Adopt
    </button>
  );
}

const InWords = ({ row: { sentence, warnings } }: { row: ComparisonRow }) => (
  <span className="words wide">
    {sentence}
    {warnings.map((warning) => (
      <span key={warning} className="step">
        {warning}
      </span>
    ))}
  </span>
);
