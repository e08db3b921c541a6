import type { FitReport, FitStatus } from '../../../server/schemas/model.ts';
import { Banner } from '../shared/states.tsx';

/** What each outcome of the fit means for the reader, and the next step. */
const STATUS_TEXT: Readonly<Record<Exclude<FitStatus, 'ok'>, { found: string; remedy: string }>> = {
  weak: {
    found: 'The data say little about part of the model; there the prior decides.',
    remedy:
      'Use the results with their wide intervals, and inspect more seals of the classes with a low share of data.',
  },
  'no-events': {
    found: 'No seal has been seen to fail, so lives cannot be estimated from the data.',
    remedy: 'Load older inspections or removals, or check the failure threshold and the inspection method.',
  },
  separated: {
    found: 'One value of a covariate has only failures or none, so its effect has no finite estimate.',
    remedy: 'Load more seals of that kind, or record them under a wider class.',
  },
  'shape-at-boundary': {
    found: 'The spread of lives ran to the edge of what is possible.',
    remedy: 'Check for dates that repeat or installations that are all guessed, or try another family.',
  },
  nonconcave: {
    found: 'The best fit is not a clear maximum.',
    remedy: 'Try another family of life distribution, or load more inspections.',
  },
  'max-iter': {
    found: 'The fit did not settle in the steps it was given.',
    remedy: 'Fit again with another family; if that fails too, look for impossible dates in the data.',
  },
  nonfinite: {
    found: 'The computation ran out of the range of numbers.',
    remedy: 'Look for ages or measures that are far too large or too small in the data.',
  },
};

/** How the fit went, when there is something to say. Without convergence no curve is drawn, and this says why. */
export function FitStatusBanner({ fit }: { fit: FitReport }) {
  const text = fit.status === 'ok' ? null : STATUS_TEXT[fit.status];
  if (fit.converged && !text && fit.warnings.length === 0) return null;
  return (
    <Banner kind={fit.converged ? 'caution' : 'fault'}>
      {!fit.converged && <strong>The fit did not converge, so no curves are drawn.</strong>}
      {text && (
        <span>
          {text.found} {text.remedy}
        </span>
      )}
      {fit.warnings.length > 0 && (
        <ul className="notes">
          {fit.warnings.map((warning) => (
            <li key={warning}>{warning}</li>
          ))}
        </ul>
      )}
    </Banner>
  );
}
