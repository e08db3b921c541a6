import type { EvidenceReport } from '../../../server/schemas/evidence.ts';
import { evidenceCsvUrl } from '../../api/evidence.ts';
import { formatNumber } from '../../state/format.ts';
import { Empty } from '../shared/states.tsx';
import { ClassKnowledge } from './class-knowledge.tsx';
import { CoxSnell } from './cox-snell.tsx';
import { EntryAge } from './entry-age.tsx';
import { ObservedExpectedFigure } from './observed-expected.tsx';
import { ProbabilityPlots } from './probability-plots.tsx';
import { Residuals } from './residuals.tsx';
import { ShapeProfile } from './shape-profile.tsx';

/** What a statistician asks of the current fit, the most telling check first. */
export function DiagnosticsView({ report: { diagnostics, modelVersion } }: { report: EvidenceReport }) {
  if (!diagnostics)
    return (
      <div className="card">
        <Empty title="There is no fit to check">
          <p>The reasons are listed below.</p>
        </Empty>
      </div>
    );
  const { rows, failures, observedExpected, coxSnell, residuals, shape, classes, entryAge, probabilityPlots } =
    diagnostics;
  return (
    <div className="stack evidence-sections">
      <h2 className="unseen">Diagnostics of the fit</h2>
      <p>
        Checks of the current fit on the records that it was made from: {formatNumber(rows)} seals,{' '}
        {formatNumber(failures)} of them seen to fail.
      </p>
      {diagnostics.notes.length > 0 && (
        <ul className="notes small">
          {diagnostics.notes.map((note) => (
            <li key={note}>{note}</li>
          ))}
        </ul>
      )}
      {observedExpected && (
        <div className="card">
          <ObservedExpectedFigure
            report={observedExpected}
            csvHref={evidenceCsvUrl('observed-expected', modelVersion)}
          />
        </div>
      )}
      {probabilityPlots.length > 0 && (
        <div className="card">
          <ProbabilityPlots plots={probabilityPlots} csvHref={evidenceCsvUrl('probability-plot', modelVersion)} />
        </div>
      )}
      {coxSnell && (
        <div className="card">
          <CoxSnell check={coxSnell} />
        </div>
      )}
      {residuals.length > 0 && (
        <div className="card">
          <Residuals covariates={residuals} />
        </div>
      )}
      {shape && (
        <div className="card">
          <ShapeProfile profile={shape} />
        </div>
      )}
      {classes.length > 0 && (
        <div className="card">
          <ClassKnowledge classes={classes} />
        </div>
      )}
      {entryAge && (
        <section className="card stack" aria-labelledby="entry-title">
          <EntryAge check={entryAge} />
        </section>
      )}
    </div>
  );
}
