import type { Budget } from '../../../server/schemas/budget.ts';
import type { Interval } from '../../../server/schemas/common.ts';
import { roundMoney } from '../../state/budget-scale.ts';
import { formatLength, formatLengthInterval, formatNumber } from '../../state/format.ts';
import { Readout } from '../shared/page.tsx';
import { useUnits } from '../shared/preferences.ts';
import { Banner } from '../shared/states.tsx';

/** The whole horizon in three figures, each with its interval and the money it is in. */
export function BudgetSummary({ budget }: { budget: Budget }) {
  const units = useUnits();
  const { overall, currency, years, priceYear, unpricedLengthM } = budget;
  const range = ({ lower, upper }: Interval) => `${roundMoney(lower, currency)} to ${roundMoney(upper, currency)}`;
  const [first, last] = [years[0], years[years.length - 1]];
  const length = formatLengthInterval(overall.lengthM, units);
  return (
    <section className="card stack" aria-labelledby="whole-title">
      <h2 id="whole-title">
        {first} to {last} in all
      </h2>
      <dl className="readouts budget-readouts">
        <Readout
          name="Length to reseal"
          value={length.split(' (')[0]}
          more={`80 % interval ${length.split(' (')[1]?.replace(')', '')}; renewals counted each time`}
        />
        <Readout
          name={`Cost, ${currency} of each year`}
          value={roundMoney(overall.cost.median, currency)}
          more={`80 % interval ${range(overall.cost)}; escalation of ${formatNumber(budget.escalationPerYear * 100, 1)} % a year in it`}
        />
        <Readout
          name={`Present value in ${first}, ${currency} of ${priceYear}`}
          value={roundMoney(overall.presentValue.median, currency)}
          more={`80 % interval ${range(overall.presentValue)}; constant prices discounted at a real ${formatNumber(budget.discountRatePerYear * 100, 1)} % a year`}
        />
        <Readout name="Price level" value={priceYear} more={`unit costs in ${currency} of ${priceYear}`} />
      </dl>
      {unpricedLengthM > 0 && (
        <Banner kind="caution">
          <strong>{formatLength(unpricedLengthM, units)} have no price and are not in the cost.</strong>
          <span>Their length is counted. Add a unit cost for their class below, then compute again.</span>
        </Banner>
      )}
      <p className="small soft">
        From model version {budget.modelVersion}. For planning money years ahead; not a safety assessment. What is
        unsafe is decided on site, by the operator’s rules and by licensed engineers.
      </p>
    </section>
  );
}
