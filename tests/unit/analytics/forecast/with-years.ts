import type { FirstFailures } from '../../../../analytics/forecast/first-failures.ts';
import {
  type LastSeen,
  ShockedFailures,
  unseenYears,
  type YearShocks,
} from '../../../../analytics/forecast/year-shocks.ts';

/** First failures in years that differ. @param yearLeft share of the planning year that lies ahead */
export function withYears(
  first: FirstFailures,
  known: LastSeen,
  shocks: YearShocks,
  { yearLeft, horizonYears }: { readonly yearLeft: number; readonly horizonYears: number },
): FirstFailures {
  const shocked = new ShockedFailures(shocks);
  const out = new Float64Array(horizonYears + 1);
  const [one, now] = [new Float64Array(1), new Float64Array(shocks.shape.length)];
  return {
    etasOf: (i) => first.etasOf(i),
    eachDraw(i, visit) {
      shocked.turnTo(unseenYears(known, i) + yearLeft);
      first.eachDraw(i, (d, eta, failed, share, at) => {
        shocked.into(out, d, failed, share, at);
        visit(d, eta, out, 1, 0);
      });
    },
    failedNowOf(i) {
      shocked.turnTo(unseenYears(known, i) + yearLeft, yearLeft);
      const chances = first.failedNowOf(i);
      for (let d = 0; d < chances.length; d++) {
        shocked.into(one, d, chances, 1, d);
        now[d] = one[0];
      }
      return now;
    },
  };
}
