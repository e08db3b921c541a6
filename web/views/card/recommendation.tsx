import type { SegmentCard } from '../../../server/schemas/card.ts';
import { formatShare, formatYear, formatYearRange } from '../../state/format.ts';
import { HORIZON_YEARS } from '../../state/view.ts';
import { Readout } from '../shared/page.tsx';
import { Banner } from '../shared/states.tsx';
import { Link } from '../shared/url.tsx';

/** When to reseal and why, with how sure that is and how much of it is this agency's own data. */
export function Recommendation({ card: { segment, forecast } }: { card: SegmentCard }) {
  if (segment.unsealedByPolicy) {
    return <Banner>Unsealed by policy. That is a state and not a failure: nothing is forecast for it.</Banner>;
  }
  if (!forecast) {
    return (
      <Banner kind="caution">
        No forecast yet. Load seals and inspections, then fit on the screen{' '}
        <Link href="/service-life">Service life</Link>.
      </Banner>
    );
  }
  return (
    <section className="recommendation" aria-label="Recommendation">
      <p className="recommendation-year">
        {forecast.dueYear === null
          ? `Not due before ${forecast.planningYear + HORIZON_YEARS + 1}`
          : `Reseal in ${forecast.dueYear}`}
      </p>
      <p className="small">{forecast.dueReason}</p>
      {segment.leftAloneReason && <Banner kind="caution">Left alone on purpose: {segment.leftAloneReason}</Banner>}
      {forecast.knownFailed && (
        <Banner kind="caution">Failed at its last inspection, and no reseal is recorded since.</Banner>
      )}
      <dl className="readouts thirds">
        <Readout
          name="Median failure"
          value={forecast.medianFailureYear === null ? 'over 100 years' : formatYear(forecast.medianFailureYear)}
          more={`80 %: ${formatYearRange(forecast.lowerFailureYear, forecast.upperFailureYear)}`}
        />
        <Readout name="Failed by now" value={formatShare(forecast.failedNowProbability)} more="probability" />
        <Readout
          name="Rests on data"
          value={formatShare(forecast.dataShare)}
          more="the rest on what was believed before"
        />
      </dl>
    </section>
  );
}
