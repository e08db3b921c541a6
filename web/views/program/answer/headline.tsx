import type { Interval } from '../../../../server/schemas/common.ts';
import type { Program } from '../../../../server/schemas/program.ts';
import { roundMoney } from '../../../state/budget-scale.ts';
import { formatCount, formatLength, formatLengthRange, formatNumber, formatShare } from '../../../state/format.ts';
import { boundSentence, formatLengthYears, handMadeSentence, QUESTION_LABELS } from '../../../state/program-words.ts';
import { Readout } from '../../shared/page.tsx';
import { useUnits } from '../../shared/preferences.ts';
import { Banner } from '../../shared/states.tsx';

/** The program in a sentence, its figures with their intervals, and how far it can be from the best. */
export function Headline({ program }: { program: Program }) {
  const units = useUnits();
  const { totals, currency, years, priceYear } = program;
  const money = ({ lower, upper }: Interval) => `${roundMoney(lower, currency)} to ${roundMoney(upper, currency)}`;
  const failed = formatLengthYears(totals.failedLengthYearsM, units);
  const last = years.at(-1)?.year ?? '';
  const constant = `${currency} of ${priceYear}, discounted at a real ${formatNumber(program.discountRatePerYear * 100, 1)} %`;
  return (
    <section className="card stack answer-head" aria-labelledby="answer-title">
      <h2 id="answer-title" className="small soft">
        {QUESTION_LABELS[program.question]}
      </h2>
      <p className="answer-sentence">{program.sentence}</p>
      {program.status === 'stopped' && (
        <Banner kind="caution">
          The search was stopped: this is the best program found by then, and its distance from the bound may be wide.
        </Banner>
      )}
      <dl className="readouts answer-readouts">
        <Readout
          name={`Work and mobilisation, ${currency} of each year`}
          value={roundMoney(totals.nominalCost.median, currency)}
          more={`80 % interval ${money(totals.nominalCost)}`}
        />
        <Readout
          name={`The same, ${constant}`}
          value={roundMoney(totals.presentCost.median, currency)}
          more={`80 % interval ${money(totals.presentCost)}`}
        />
        <Readout
          name="Cost of open joints, discounted"
          value={roundMoney(totals.presentOpenCost.median, currency)}
          more={`80 % interval ${money(totals.presentOpenCost)}`}
        />
        <Readout
          name="Both as an equal sum each year"
          value={roundMoney(totals.annualCost.median, currency)}
          more={`80 % interval ${money(totals.annualCost)}; equivalent uniform annual cost`}
        />
        <Readout
          name="Joint resealed"
          value={formatLength(totals.lengthM, units)}
          more={`${formatCount(totals.works, 'reseal')}, each counted`}
        />
        <Readout
          name="Length failed × years"
          value={failed.value}
          more={`80 % interval ${failed.range}; within the horizon`}
        />
        <Readout
          name={`Backlog at the end of ${last}`}
          value={formatLength(totals.backlogAtEndM.median, units)}
          more={`80 % interval ${formatLengthRange(totals.backlogAtEndM, units)}; failed share ${formatShare(totals.failedShareAtEnd.median)} (${formatShare(totals.failedShareAtEnd.lower)} to ${formatShare(totals.failedShareAtEnd.upper)})`}
        />
        <Readout
          name="Budget used"
          value={totals.budgetUsedShare === null ? 'no limit' : formatShare(totals.budgetUsedShare)}
          more={totals.budgetUsedShare === null ? 'no year has a limit' : 'of all years with a limit together'}
        />
      </dl>
      <p className="small">{boundSentence(program)}</p>
      {program.handMadeCost !== null && <p className="small">{handMadeSentence(program)}</p>}
    </section>
  );
}
