import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { countActive } from '../../state/filter.ts';
import { formatCount } from '../../state/format.ts';
import { Dialog } from '../shared/dialog.tsx';
import { summaryQuery } from '../shared/queries.ts';
import { useFilter } from '../shared/url.tsx';
import { filterPartsFor, SearchField } from './filter-fields.tsx';
import { FilterMenu } from './filter-menu.tsx';
import { FilterIcon } from './icons.tsx';
import { CopyLink, TotalReadouts, Totals } from './totals.tsx';

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
          {filterPartsFor(filter).map(({ key, label, fields, tally }) => (
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
          <TotalReadouts />
          {filterPartsFor(filter).map(({ key, label, fields, tally }) => (
            <details key={key} open={tally(filter) > 0}>
              <summary>
                {label}
                {tally(filter) > 0 ? ` (${tally(filter)} chosen)` : ''}
              </summary>
              {fields({ filter, setFilter })}
            </details>
          ))}
          <CopyLink />
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
