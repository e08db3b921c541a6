import type { EvidenceReport } from '../../../server/schemas/evidence.ts';
import { evidenceCsvUrl } from '../../api/evidence.ts';
import { screenAddress } from '../../state/routes.ts';
import { Tabs } from '../shared/controls.tsx';
import { Empty } from '../shared/states.tsx';
import { navigate, useAddress } from '../shared/url.tsx';
import { BacktestFacts } from './backtest-facts.tsx';
import { Calibration } from './calibration.tsx';
import { CoverageFigure } from './coverage.tsx';
import { DiagnosticsView } from './diagnostics.tsx';
import { EvidenceFrame } from './evidence-frame.tsx';
import { Scores } from './scores.tsx';
import { VerdictCard } from './verdict.tsx';

type Part = 'back-test' | 'diagnostics';

/** How well the model would have forecast, and how well it fits. */
export function EvidenceScreen() {
  return (
    <EvidenceFrame
      title="Evidence"
      lede="How far the forecasts can be trusted: what the model would have said on past dates, held against what inspections then found."
    >
      {(report) => <Evidence report={report} />}
    </EvidenceFrame>
  );
}

function Evidence({ report }: { report: EvidenceReport }) {
  const { path, params } = useAddress();
  const part: Part = params.get('part') === 'diagnostics' ? 'diagnostics' : 'back-test';
  const show = (next: Part) => {
    const changed = new URLSearchParams(params);
    if (next === 'back-test') changed.delete('part');
    else changed.set('part', next);
    navigate(screenAddress(path, changed), { replace: true });
  };
  return (
    <>
      {report.backtest && <VerdictCard backtest={report.backtest} />}
      <Tabs
        label="Parts of the evidence"
        value={part}
        onChange={show}
        choices={[
          { value: 'back-test', label: 'How well it would have forecast' },
          { value: 'diagnostics', label: 'Diagnostics of the fit' },
        ]}
      >
        {part === 'back-test' ? <Backtest report={report} /> : <DiagnosticsView report={report} />}
      </Tabs>
    </>
  );
}

function Backtest({ report: { backtest, modelVersion } }: { report: EvidenceReport }) {
  if (!backtest)
    return (
      <div className="card">
        <Empty title="The past could not be forecast">
          <p>
            There are no inspections late enough to hold a forecast against. What was left out, and why, is listed
            below.
          </p>
        </Empty>
      </div>
    );
  return (
    <div className="stack evidence-sections">
      <section className="card stack" aria-labelledby="calibration-title">
        <h2 id="calibration-title">Did as many fail as forecast?</h2>
        <Calibration backtest={backtest} csvHref={evidenceCsvUrl('calibration', modelVersion)} />
      </section>
      <section className="card stack" aria-labelledby="coverage-title">
        <h2 id="coverage-title">Did the intervals hold?</h2>
        <CoverageFigure backtest={backtest} />
      </section>
      {backtest.comparisons.length > 0 && (
        <section className="card stack" aria-labelledby="scores-title">
          <h2 id="scores-title">Is it better than simpler ways?</h2>
          <Scores backtest={backtest} />
        </section>
      )}
      <BacktestFacts backtest={backtest} />
    </div>
  );
}
