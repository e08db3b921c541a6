import type { ModelReport } from '../../../server/schemas/model.ts';
import { formatDay, formatNumber, NOT_KNOWN } from '../../state/format.ts';
import { FAMILY_LABELS, INSPECTION_METHOD_LABELS, labelOf } from '../../state/words.ts';
import { DataTable } from '../shared/data-table.tsx';

/** The numbers a statistician asks for. */
export function FitNumbers({ report }: { report: ModelReport }) {
  const { fit, settingsUsed, sampling, damageGrowth } = report;
  const rows = Object.entries(fit.coefficients).map(([name, value]) => ({
    name,
    value,
    error: fit.standardErrors[name] ?? null,
  }));
  return (
    <section className="card stack" aria-labelledby="numbers-title">
      <h2 id="numbers-title">For the statistician</h2>
      <dl className="facts">
        <dt>Status</dt>
        <dd>
          {fit.status}
          {fit.converged ? ', converged' : ', not converged'} in {formatNumber(fit.iterations)} steps,{' '}
          {formatNumber(fit.fitSeconds, 2)} s
        </dd>
        <dt>Log-likelihood</dt>
        <dd>{formatNumber(fit.logLikelihood, 4)}</dd>
        <dt>Scale (of log life)</dt>
        <dd>
          {formatNumber(fit.scale, 5)}, standard error of its logarithm {formatNumber(fit.standardErrors.logScale, 5)}
        </dd>
        <dt>Family, prior</dt>
        <dd>
          {FAMILY_LABELS[settingsUsed.family]}, {settingsUsed.prior}
        </dd>
        <dt>Method</dt>
        <dd>{labelOf(INSPECTION_METHOD_LABELS, settingsUsed.inspectionMethod)}</dd>
        <dt>Uncertainty</dt>
        <dd>
          {formatNumber(settingsUsed.draws)} draws of the parameters (seed {settingsUsed.seed}), worth{' '}
          {formatNumber(sampling.effectiveSampleSize)}
          {sampling.paretoK !== null && `; Pareto k ${formatNumber(sampling.paretoK, 2)}`}. {sampling.note}
        </dd>
        {damageGrowth && (
          <>
            <dt>Damage growth</dt>
            <dd>
              with age to the power {formatNumber(damageGrowth.exponent, 2)} (spread of its logarithm{' '}
              {formatNumber(damageGrowth.logSd, 2)}), from {formatNumber(damageGrowth.pairs)} pairs of inspections
            </dd>
          </>
        )}
        <dt>Planning date</dt>
        <dd>{formatDay(report.planningDate)}</dd>
      </dl>
      <details>
        <summary>Coefficients of log life</summary>
        <DataTable
          caption="Coefficients on the original scale of each covariate"
          captionUnseen
          rows={rows}
          rowKey={({ name }) => name}
          columns={[
            { key: 'name', head: 'Term', cell: ({ name }) => <code>{name}</code> },
            { key: 'value', head: 'Coefficient', numeric: true, cell: ({ value }) => formatNumber(value, 5) },
            {
              key: 'error',
              head: 'Standard error',
              numeric: true,
              cell: ({ error }) => (error === null ? NOT_KNOWN : formatNumber(error, 5)),
            },
          ]}
        />
      </details>
    </section>
  );
}
