import { useQuery } from '@tanstack/react-query';
import { useEffect, useState } from 'react';
import type { Summary } from '../../../server/schemas/forecast.ts';
import { formatCount, formatLength, formatLengthRange, formatNumber, NOT_KNOWN } from '../../state/format.ts';
import type { Units } from '../../state/units.ts';
import { Readout } from '../shared/page.tsx';
import { useUnits } from '../shared/preferences.ts';
import { summaryQuery } from '../shared/queries.ts';
import { useFilter } from '../shared/url.tsx';
import { LinkIcon } from './icons.tsx';

/** Totals of what the filter keeps, in one strip; changes are read out. */
export function Totals() {
  const [filter] = useFilter();
  const units = useUnits();
  const { data, isPlaceholderData } = useQuery(summaryQuery(filter));
  const spoken =
    data && !isPlaceholderData
      ? `${formatCount(data.segments, 'segment')}, ${formatLength(data.sealedLengthM, units, 1000)} of sealed joint, ${formatLength(data.expectedFailedNowM, units, 1000)} expected failed now`
      : '';
  return (
    <div className="totals">
      <TotalReadouts />
      <p className="unseen" role="status">
        {spoken}
      </p>
      <div className="push only-wide">
        <CopyLink />
      </div>
    </div>
  );
}

export function TotalReadouts() {
  const [filter] = useFilter();
  const units = useUnits();
  const { data, isPlaceholderData, isError } = useQuery(summaryQuery(filter));
  const pending = isError ? NOT_KNOWN : '…';
  const length = (lengthM: number | undefined) =>
    lengthM === undefined ? pending : formatLength(lengthM, units, 1000);
  const count = (segments: number | undefined) => (segments === undefined ? pending : formatNumber(segments));
  return (
    <dl className="readouts" data-stale={isPlaceholderData || undefined}>
      <Readout name="Segments" value={count(data?.segments)} />
      <Readout name="Sealed joint" value={length(data?.sealedLengthM)} />
      <Readout
        name="Expected failed now"
        value={length(data?.expectedFailedNowM)}
        beside={data && howSure(data, units)}
      />
      <Readout name="Distressed when last seen" value={length(data?.distressedM)} />
      <Readout name="Never inspected" value={count(data?.neverInspected)} />
    </dl>
  );
}

/** The range that the failed length lies in, or at least that the figure is an expectation. */
function howSure({ expectedFailedNowInterval: interval, expectedFailedNowM }: Summary, units: Units): string {
  if (interval) return `80\u00a0%: ${formatLengthRange(interval, units, 1000)}`;
  return expectedFailedNowM > 0 ? 'expected value' : '';
}

/** The address holds the whole view, so a link to it is the view. */
export function CopyLink() {
  const [copied, setCopied] = useState<'no' | 'yes' | 'refused'>('no');
  useEffect(() => {
    if (copied === 'no') return;
    const timer = setTimeout(() => setCopied('no'), 2500);
    return () => clearTimeout(timer);
  }, [copied]);
  const copy = () =>
    navigator.clipboard.writeText(window.location.href).then(
      () => setCopied('yes'),
      () => setCopied('refused'),
    );
  const words = { no: 'Copy link to this view', yes: 'Link copied', refused: 'Copy it from the address bar' };
  return (
    <button type="button" className="button quiet" onClick={() => void copy()}>
      <LinkIcon /> <span aria-live="polite">{words[copied]}</span>
    </button>
  );
}
