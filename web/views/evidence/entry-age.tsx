import type { Static } from 'typebox';
import type { EntryAgeCheckSchema } from '../../../server/schemas/evidence-diagnostics.ts';
import { formatAge, formatNumber } from '../../state/format.ts';

/** Whether seals that came under observation young tell the same story as those that came old. */
export function EntryAge({ check }: { check: Static<typeof EntryAgeCheckSchema> }) {
  const two = (value: number | null) => formatNumber(value, 2);
  const known = check.lifeRatio !== null && check.lower !== null && check.upper !== null;
  return (
    <>
      <h3 id="entry-title">Seals seen from early on</h3>
      <p className="check-line">
        {known && (
          <span className={`badge ${check.drift ? 'chalk' : 'accent'}`}>
            {check.drift ? 'drift' : 'no sign of drift'}
          </span>
        )}
        <span>
          {!known
            ? 'Too little to compare.'
            : check.drift
              ? 'Seals that came under observation young tell another life than all seals together: survivors of the time before the records may differ, or lives have changed over the years.'
              : 'Seals that came under observation young tell the same life as all seals together.'}{' '}
          {check.note}
        </span>
      </p>
      <dl className="facts">
        <dt>Young half</dt>
        <dd>
          {formatNumber(check.youngRows)} seals, under observation from{' '}
          {check.entryYears < 0.05 ? 'their installation' : `an age of up to ${formatAge(check.entryYears)}`};{' '}
          {formatNumber(check.youngFailures)} of them failed
        </dd>
        <dt>Old half</dt>
        <dd>{formatNumber(check.oldRows)} seals</dd>
        {known && (
          <>
            <dt>Life by the young half</dt>
            <dd>
              {two(check.lifeRatio)} times that by all, 95{'\u00a0'}% interval {two(check.lower)} to {two(check.upper)}
            </dd>
          </>
        )}
      </dl>
    </>
  );
}
