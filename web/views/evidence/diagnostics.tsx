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
        <section className="card" aria-label="Failures found and expected">
          <ObservedExpectedFigure
            report={observedExpected}
            csvHref={evidenceCsvUrl('observed-expected', modelVersion)}
          />
        </section>
      )}
      {probabilityPlots.length > 0 && (
        <section className="card" aria-label="Probability plots">
          <ProbabilityPlots plots={probabilityPlots} csvHref={evidenceCsvUrl('probability-plot', modelVersion)} />
        </section>
      )}
      {coxSnell && (
        <section className="card" aria-label="Cox–Snell residuals">
          <CoxSnell check={coxSnell} />
        </section>
      )}
      {residuals.length > 0 && (
        <section className="card" aria-label="Residuals by covariate">
          <Residuals covariates={residuals} />
        </section>
      )}
      {shape && (
        <section className="card" aria-label="Profile of the shape">
          <ShapeProfile profile={shape} />
        </section>
      )}
      {classes.length > 0 && (
        <section className="card" aria-label="Before and after the data">
          <ClassKnowledge classes={classes} />
        </section>
      )}
      {entryAge && (
        <section className="card stack" aria-labelledby="entry-title">
          <EntryAge check={entryAge} />
        </section>
      )}
    </div>
  );
}
