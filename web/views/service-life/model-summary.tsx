import type { ModelReport } from '../../../server/schemas/model.ts';
import { formatDay, formatInterval, formatNumber, formatShare } from '../../state/format.ts';
import { FAMILY_LABELS } from '../../state/words.ts';
import { Readout } from '../shared/page.tsx';

/** The model in a sentence, and the figures one asks for first. */
export function ModelSummary({ report }: { report: ModelReport }) {
  const { fit, settingsUsed, shape } = report;
  return (
    <section className="card stack" aria-labelledby="summary-title">
      <h2 id="summary-title">In a sentence</h2>
      <p className="model-sentence">{report.summary}</p>
      <dl className="readouts">
        <Readout name="Seals used" value={formatNumber(fit.observations)} more="in the fit" />
        <Readout
          name="Seen to fail"
          value={formatNumber(fit.failures)}
          more={`${formatShare(fit.observations > 0 ? fit.failures / fit.observations : null)} of them`}
        />
        <Readout name="Life distribution" value={FAMILY_LABELS[settingsUsed.family]} />
        {shape && (
          <Readout
            name="Shape"
            value={formatInterval(shape, 2)}
            more={shape.lower > 1 ? 'above 1: old seals fail faster; 80 % interval' : '80 % interval'}
          />
        )}
        <Readout
          name="Failed means"
          value={`${formatShare(settingsUsed.failureThresholdShare)} or more`}
          more="of the length damaged"
        />
        <Readout
          name="Fitted on"
          value={formatDay(report.fittedAt)}
          more={`model ${report.version}, data version ${report.dataVersion}`}
        />
      </dl>
      <p className="small soft">
        Intervals are 80 %: one time in ten the truth lies below them, one time in ten above, if the model holds. For
        planning; not a safety assessment.
      </p>
    </section>
  );
}
