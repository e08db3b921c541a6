import { useInfiniteQuery, useMutation } from '@tanstack/react-query';
import { lazy, Suspense, useId, useMemo, useRef, useState } from 'react';
import type { Program } from '../../../../server/schemas/program.ts';
import type { JointMap } from '../../../map/joint-map.ts';
import { roundMoney } from '../../../state/budget-scale.ts';
import { csvText } from '../../../state/evidence-csv.ts';
import { formatCount, formatLength } from '../../../state/format.ts';
import { workCsv } from '../../../state/work-csv.ts';
import type { WorkQuery } from '../../../state/work-query.ts';
import '../../map/map.css';
import { Switch } from '../../shared/controls.tsx';
import { useUnits } from '../../shared/preferences.ts';
import { saveBlob, saveFile } from '../../shared/save-file.ts';
import { Failure, Loading } from '../../shared/states.tsx';
import { useView } from '../../shared/url.tsx';
import { useNear } from '../../shared/use-near.ts';
import { VirtualTable } from '../../shared/virtual-table.tsx';
import { useProgramView } from '../use-program-view.ts';
import {
  classColumn,
  costColumn,
  facilityColumn,
  lengthColumn,
  segmentColumn,
  type WorkColumn,
} from '../work/work-columns.tsx';
import { fetchAllWork, workPagesQuery } from '../work/work-queries.ts';
import { WorkKey } from './work-key.tsx';

/** The map library is fetched when the map is near, not before the figures are read. */
const ProgramMap = lazy(async () => ({ default: (await import('./program-map.tsx')).ProgramMap }));

export type MapMode = 'year' | 'first';
const MODES: readonly { value: MapMode; label: string }[] = [
  { value: 'year', label: 'Work of one year' },
  { value: 'first', label: 'Year of first reseal' },
];
const ROW_PX = 56;

/** Where is worked when: a map with a year to be moved, and the work of that year beside it. */
export function WhereAndWhen({ program }: { program: Program }) {
  const [view, setView] = useProgramView();
  const [mode, setMode] = useState<MapMode>('year');
  const place = useRef<HTMLElement>(null);
  const map = useRef<JointMap | null>(null);
  const near = useNear(place);
  const years = program.years.map(({ year }) => year);
  const [first, last] = [years[0], years[years.length - 1]];
  const year = Math.min(last, Math.max(first, view.year ?? first));
  const query: WorkQuery = useMemo(
    () => (mode === 'year' ? { year, sort: 'lengthM', descending: true } : { sort: 'year', descending: false }),
    [mode, year],
  );
  const savePicture = async () => {
    const picture = await map.current?.picture();
    if (picture) saveBlob(`program-map-${mode === 'year' ? year : 'first'}.png`, picture);
  };
  const saveNumbers = useMutation({
    mutationFn: async () => fetchAllWork(program.scenarioId, query),
    onSuccess: (works) =>
      saveFile(`program-work-${mode === 'year' ? year : 'all'}.csv`, csvText(workCsv(works)), 'text/csv'),
  });
  return (
    <section className="card stack" aria-labelledby="where-title" ref={place}>
      <div className="card-head">
        <h2 id="where-title">Where and when</h2>
        <div className="row">
          <Switch label="What the map shows" value={mode} choices={MODES} onChange={setMode} />
          <button type="button" className="button" onClick={() => void savePicture()}>
            Save picture (PNG)
          </button>
          <button
            type="button"
            className="button"
            disabled={saveNumbers.isPending}
            onClick={() => saveNumbers.mutate()}
          >
            Numbers (CSV)
          </button>
        </div>
      </div>
      {mode === 'year' && (
        <YearSlider program={program} year={year} onChange={(next) => setView({ year: next }, { replace: true })} />
      )}
      <WorkKey mode={mode} program={program} year={year} />
      <div className="where">
        <div className="map-stage where-map">
          {near && (
            <Suspense fallback={<Loading what="the map" />}>
              <ProgramMap program={program} mode={mode} year={year} handle={map} />
            </Suspense>
          )}
        </div>
        <YearWork program={program} query={query} />
      </div>
    </section>
  );
}

function YearSlider({ program, year, onChange }: { program: Program; year: number; onChange: (year: number) => void }) {
  const id = useId();
  const units = useUnits();
  const { years, currency } = program;
  const row = years.find((each) => each.year === year) ?? years[0];
  const [first, last] = [years[0].year, years[years.length - 1].year];
  return (
    <div className="field year-slider">
      <label htmlFor={id}>
        <output className="figures">{year}</output>: {formatCount(row.works, 'reseal')},{' '}
        {formatLength(row.lengthM, units)} in {formatCount(row.facilities, 'facility', 'facilities')} for{' '}
        {roundMoney(row.cost.median, currency)}
      </label>
      <input
        id={id}
        type="range"
        min={first}
        max={last}
        step={1}
        value={year}
        onChange={({ target }) => onChange(Number(target.value))}
      />
      <span className="scale-words figures" aria-hidden="true">
        <span>{first}</span>
        <span>{last}</span>
      </span>
    </div>
  );
}

/** The same work as a list, the longest first. */
function YearWork({ program, query }: { program: Program; query: WorkQuery }) {
  const units = useUnits();
  const [{ segmentId }, setMapView] = useView();
  const pages = useInfiniteQuery(workPagesQuery(program.scenarioId, query));
  const rows = useMemo(() => pages.data?.pages.flatMap(({ items }) => items) ?? [], [pages.data]);
  const matched = pages.data?.pages[0]?.numberMatched;
  const inOneYear = query.year !== undefined;
  const columns = useMemo(() => {
    const year: WorkColumn = { id: 'year', head: 'Year', widthPx: 64, cell: (work) => work.year };
    const all = [
      segmentColumn(segmentId, (id) => setMapView({ segmentId: id })),
      ...(inOneYear ? [] : [year]),
      lengthColumn(units),
      costColumn(program.currency),
      facilityColumn,
      classColumn,
    ];
    // The list beside the map keeps its own order.
    return all.map((column): WorkColumn => ({ ...column, sort: undefined }));
  }, [segmentId, setMapView, units, program.currency, inOneYear]);
  if (pages.isError && rows.length === 0)
    return <Failure what="the work" error={pages.error} retry={() => void pages.refetch()} />;
  if (matched === undefined) return <Loading what="the work" />;
  if (matched === 0) return <p className="soft where-none">Nothing is resealed in this year.</p>;
  return (
    <VirtualTable
      label={inOneYear ? `Work of ${query.year}` : 'Work of all years'}
      caption={inOneYear ? `Reseals of ${query.year}, the longest first` : 'Reseals by year'}
      className="where-list"
      columns={columns}
      rows={rows}
      matched={matched}
      rowKey={(work) => `${work.segmentId} ${work.year}`}
      rowPx={ROW_PX}
      order={query}
      stale={pages.isPlaceholderData}
      rowProps={(work) => ({ className: work.segmentId === segmentId ? 'chosen' : undefined })}
      onOrder={() => undefined}
      onNeedMore={() => {
        if (pages.hasNextPage && !pages.isFetching) void pages.fetchNextPage();
      }}
    />
  );
}
