import { useQuery } from '@tanstack/react-query';
import { useEffect, useState } from 'react';
import { countActive } from '../../state/filter.ts';
import { formatCount, formatLength, formatNumber } from '../../state/format.ts';
import { Dialog } from '../shared/dialog.tsx';
import { Readout } from '../shared/page.tsx';
import { useUnits } from '../shared/preferences.ts';
import { summaryQuery } from '../shared/queries.ts';
import { useFilter } from '../shared/url.tsx';
import { FILTER_PARTS, SearchField } from './filter-fields.tsx';
import { FilterMenu } from './filter-menu.tsx';
import { FilterIcon, LinkIcon } from './icons.tsx';

/** The one filter of map, table and totals, with the totals of what it keeps. */
export function Filters() {
  const [filter, setFilter] = useFilter();
  const [sheetOpen, setSheetOpen] = useState(false);
  const active = countActive(filter);
  const clear = active > 0 && (
    <button type="button" className="button quiet" onClick={() => setFilter({})}>
      Clear {active === 1 ? 'filter' : `${active} filters`}
    </button>
  );
  return (
    <section aria-label="Filter and totals">
      <search className="filterbar">
        <SearchField filter={filter} setFilter={setFilter} />
        <div className="row only-wide" style={{ gap: 'var(--space-2)' }}>
          {FILTER_PARTS.map(({ key, label, fields, tally }) => (
            <FilterMenu key={key} label={label} tally={tally(filter)}>
              {fields({ filter, setFilter })}
            </FilterMenu>
          ))}
          {clear}
        </div>
        <button type="button" className="button only-narrow-flex" onClick={() => setSheetOpen(true)}>
          <FilterIcon /> Filters{active > 0 ? ` (${active})` : ''}
        </button>
      </search>
      <Totals />
      <Dialog
        title="Filters"
        sheet
        open={sheetOpen}
        onClose={() => setSheetOpen(false)}
        foot={
          <>
            {clear}
            <button type="button" className="button primary" onClick={() => setSheetOpen(false)}>
              Show <MatchedCount />
            </button>
          </>
        }
      >
        <div className="stack">
          {FILTER_PARTS.map(({ key, label, fields, tally }) => (
            <details key={key} open={tally(filter) > 0}>
              <summary>
                {label}
                {tally(filter) > 0 ? ` (${tally(filter)} chosen)` : ''}
              </summary>
              {fields({ filter, setFilter })}
            </details>
          ))}
        </div>
      </Dialog>
    </section>
  );
}

function MatchedCount() {
  const [filter] = useFilter();
  const { data } = useQuery(summaryQuery(filter));
  return data ? formatCount(data.segments, 'segment') : 'segments';
}

function Totals() {
  const [filter] = useFilter();
  const units = useUnits();
  const { data, isPlaceholderData, isError } = useQuery(summaryQuery(filter));
  const spoken =
    data && !isPlaceholderData
      ? `${formatCount(data.segments, 'segment')}, ${formatLength(data.sealedLengthM, units)} of sealed joint`
      : '';
  const shownLength = (lengthM: number | undefined) =>
    isError ? '–' : lengthM === undefined ? '…' : formatLength(lengthM, units);
  return (
    <div className="totals" data-stale={isPlaceholderData || undefined}>
      <dl className="readouts">
        <Readout name="Segments" value={data ? formatNumber(data.segments) : shownLength(undefined)} />
        <Readout name="Sealed joint" value={shownLength(data?.sealedLengthM)} />
        <Readout name="Expected failed now" value={shownLength(data?.expectedFailedNowM)} />
        <Readout name="Distressed when last seen" value={shownLength(data?.distressedM)} />
        <Readout name="Never inspected" value={data ? formatNumber(data.neverInspected) : shownLength(undefined)} />
      </dl>
      <p className="unseen" role="status">
        {spoken}
      </p>
      <CopyLink />
    </div>
  );
}

function CopyLink() {
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
    <button type="button" className="button quiet push only-wide" onClick={() => void copy()}>
      <LinkIcon /> <span aria-live="polite">{words[copied]}</span>
    </button>
  );
}
