import type { ReactNode } from 'react';
import type { BacktestEvidence } from '../../../server/schemas/evidence-backtest.ts';
import { inPlainWords, restsOn, type Tone, VERDICT_MARKS } from '../../state/evidence-words.ts';
import { formatNumber, formatShare, formatYears } from '../../state/format.ts';
import { labelOf, SEALANT_CLASS_LABELS } from '../../state/words.ts';
import { Readout } from '../shared/page.tsx';

/** Line drawings: a shape of its own for each verdict, so that it can be told without colour. */
const ICONS: Readonly<Record<Tone, ReactNode>> = {
  good: <path d="M4 12.500 9.500 18 20 6.500" />,
  caution: <path d="M12 3.500 21.500 20h-19zM12 9.500v5M12 17v.5" />,
  fault: <path d="M8 2.500h8L21.500 8v8L16 21.500H8L2.500 16V8zM8.500 8.500l7 7M15.500 8.500l-7 7" />,
  thin: (
    <path d="M12 2.500a9.500 9.500 0 1 0 .01 0M9 9.500a3 3 0 1 1 4.500 2.600c-1 .6-1.500 1.100-1.500 2.400M12 17v.5" />
  ),
};

/** On top of everything: can one budget with it, and where not. */
export function VerdictCard({ backtest }: { backtest: BacktestEvidence }) {
  const { verdict, model } = backtest;
  const { words, tone } = VERDICT_MARKS[verdict.grade];
  return (
    <section className={`card verdict ${tone}`} aria-labelledby="verdict-title">
      <svg
        width="44"
        height="44"
        viewBox="0 0 24 24"
        fill="none"
        stroke="currentColor"
        strokeWidth="2"
        aria-hidden="true"
      >
        {ICONS[tone]}
      </svg>
      <div className="stack">
        <h2 id="verdict-title">{words}</h2>
        <p className="verdict-sentence">{inPlainWords(verdict.sentence)}</p>
        <p className="small soft">“It” is the model in use, which rests on {restsOn(backtest.readsShares)}.</p>
        <dl className="readouts">
          {model.total && (
            <>
              <Readout
                name="Forecast to fail"
                value={formatShare(model.total.forecastShare)}
                more={`80 % interval ${shareOf(model.total.within80.lower, model.total.trials)} to ${shareOf(model.total.within80.upper, model.total.trials)}`}
              />
              <Readout
                name="Found failed"
                value={formatShare(model.total.foundShare)}
                more={`${formatNumber(model.total.found)} of ${formatNumber(model.total.trials)} looks`}
              />
            </>
          )}
          <Readout
            name="Cut-off dates"
            value={formatNumber(backtest.cutoffs.length)}
            more="the model knew nothing later"
          />
          <Readout name="Forecast ahead" value={formatYears(backtest.horizonYears)} more="after each cut-off" />
        </dl>
        {verdict.tooThin.length > 0 && (
          <p className="small soft">
            Too few looks to judge: {verdict.tooThin.map((name) => labelOf(SEALANT_CLASS_LABELS, name)).join('; ')}.
          </p>
        )}
        <p className="small soft">
          A look is one inspection, after a cut-off date, of a seal that was sound when last seen before. For planning;
          not a safety assessment.
        </p>
      </div>
    </section>
  );
}

const shareOf = (count: number, whole: number): string => formatShare(whole > 0 ? count / whole : null);
