import { keepPreviousData, useInfiniteQuery } from '@tanstack/react-query';
import { useMemo } from 'react';
import { exportUrl, fetchSegmentPage } from '../../api/segments.ts';
import { countActive } from '../../state/filter.ts';
import { formatCount } from '../../state/format.ts';
import { LazySegmentPanel } from '../card/lazy-panel.tsx';
import { ModelVersionNote } from '../shared/model-version-note.tsx';
import { usePageTitle } from '../shared/page.tsx';
import { useUnits } from '../shared/preferences.ts';
import { Empty, Failure, Loading } from '../shared/states.tsx';
import { Link, useFilter, useView } from '../shared/url.tsx';
import { JointTable } from './joint-table.tsx';
import './joints.css';

const PAGE_ROWS = 200;

/** The segments that the filter keeps, as a table; the chosen one's card beside it. */
export function JointsScreen() {
  usePageTitle('Joints');
  const [filter, setFilter] = useFilter();
  const [view, setView] = useView();
  const order = { sort: view.sort, descending: view.descending };
  const query = useInfiniteQuery({
    queryKey: ['segments', filter, order],
    queryFn: ({ pageParam, signal }) => fetchSegmentPage({ filter, order, limit: PAGE_ROWS, after: pageParam }, signal),
    initialPageParam: null as string | null,
    getNextPageParam: (page) => page.next,
    placeholderData: keepPreviousData,
  });
  const rows = useMemo(() => query.data?.pages.flatMap((page) => page.items) ?? [], [query.data]);
  const matched = query.data?.pages[0]?.numberMatched ?? null;

  const body = () => {
    if (query.isError && rows.length === 0) {
      return <Failure what="the joints" error={query.error} retry={() => void query.refetch()} />;
    }
    if (matched === null) return <Loading what="the joints" />;
    if (matched === 0) return <NothingMatches filtered={countActive(filter) > 0} clear={() => setFilter({})} />;
    return (
      <JointTable
        rows={rows}
        matched={matched}
        order={order}
        stale={query.isPlaceholderData}
        selectedId={view.segmentId}
        onSelect={(segmentId) => setView({ segmentId })}
        onOrder={(next) => setView(next)}
        onNeedMore={() => {
          if (query.hasNextPage && !query.isFetching) void query.fetchNextPage();
        }}
      />
    );
  };

  return (
    <div className="joints-screen">
      <div className="joints-main">
        <header className="joints-head">
          <h1>Joints</h1>
          <p className="soft small" role="status">
            {matched === null ? '' : `${formatCount(matched, 'segment')} in this view`}
          </p>
          <ModelVersionNote />
          <Exports />
        </header>
        {body()}
      </div>
      {view.segmentId !== null && (
        <LazySegmentPanel mapLink segmentId={view.segmentId} onClose={() => setView({ segmentId: null })} />
      )}
    </div>
  );
}

function NothingMatches({ filtered, clear }: { filtered: boolean; clear: () => void }) {
  if (!filtered) {
    return (
      <Empty
        title="No joints yet"
        action={
          <Link className="button primary" href="/data">
            Load your files
          </Link>
        }
      >
        <p>This table lists the segments of your inventory. Load facilities and segments first.</p>
      </Empty>
    );
  }
  return (
    <Empty
      title="No segment fits the filter"
      action={
        <button type="button" className="button" onClick={clear}>
          Clear the filter
        </button>
      }
    >
      <p>Widen a range or take out a choice above.</p>
    </Empty>
  );
}

/** Downloads of exactly what the filter keeps, in the units on screen. */
function Exports() {
  const [filter] = useFilter();
  const units = useUnits();
  return (
    <div className="row push" style={{ gap: 'var(--space-2)' }}>
      <span className="small soft">Export this view:</span>
      <a className="button" href={exportUrl('csv', filter, units)} download>
        CSV<span className="unseen"> table of this view</span>
      </a>
      <a className="button" href={exportUrl('geojson', filter, units)} download>
        GeoJSON<span className="unseen"> of this view</span>
      </a>
    </div>
  );
}
