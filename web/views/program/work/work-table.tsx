import { useInfiniteQuery } from '@tanstack/react-query';
import { type DragEvent, useCallback, useMemo, useState } from 'react';
import type { Program, ProgramWork } from '../../../../server/schemas/program.ts';
import { describeError } from '../../../api/request.ts';
import { formatCount } from '../../../state/format.ts';
import { choicesById } from '../../../state/program-choices.ts';
import { screenAddress } from '../../../state/routes.ts';
import { countWorkFilters, readWorkQuery, withoutWorkFilter, withWorkOrder } from '../../../state/work-query.ts';
import { useUnits } from '../../shared/preferences.ts';
import { Banner, Empty, Failure, Loading } from '../../shared/states.tsx';
import { navigate, useAddress, useView } from '../../shared/url.tsx';
import { VirtualTable } from '../../shared/virtual-table.tsx';
import { MoveDialog } from './move-dialog.tsx';
import { placeColumn } from './place-column.tsx';
import type { ChoicesState } from './use-choices.ts';
import { useMoves } from './use-moves.ts';
import {
  classColumn,
  costColumn,
  facilityColumn,
  lengthColumn,
  reasonColumns,
  segmentColumn,
} from './work-columns.tsx';
import { WorkFilters } from './work-filters.tsx';
import { workPagesQuery } from './work-queries.ts';
import { YearStrip } from './year-strip.tsx';

const ROW_PX = 56;

/** The work of the filter as a table, under a strip of years that filters it and takes what is dragged there. */
export function WorkTable({ program, choices }: { program: Program; choices: ChoicesState }) {
  const { path, params } = useAddress();
  const query = useMemo(() => readWorkQuery(params), [params]);
  const [{ segmentId }, setMapView] = useView();
  const units = useUnits();
  const moves = useMoves(program, choices);
  const [dragged, setDragged] = useState<ProgramWork | null>(null);
  const pages = useInfiniteQuery(workPagesQuery(program.scenarioId, query));
  const rows = useMemo(() => pages.data?.pages.flatMap(({ items }) => items) ?? [], [pages.data]);
  const matched = pages.data?.pages[0]?.numberMatched ?? null;
  const go = useCallback((next: URLSearchParams) => navigate(screenAddress(path, next), { replace: true }), [path]);
  const byId = useMemo(() => choicesById(choices.choices), [choices.choices]);
  const select = useCallback((id: string) => setMapView({ segmentId: id }), [setMapView]);
  const { ask, pin } = moves;
  const { release } = choices;
  const columns = useMemo(
    () => [
      segmentColumn(segmentId, select),
      placeColumn({ byId, onMove: ask, onPin: pin, onRelease: release }),
      facilityColumn,
      lengthColumn(units),
      costColumn(program.currency),
      classColumn,
      ...reasonColumns(program.currency),
    ],
    [segmentId, select, byId, ask, pin, release, units, program.currency],
  );
  const drop = (year: number) => {
    if (dragged && dragged.year !== year) moves.drop(dragged, year);
    setDragged(null);
  };

  return (
    <>
      <YearStrip program={program} query={query} dragged={dragged} onDrop={drop} onFilter={go} />
      <WorkFilters program={program} query={query} onChange={go} />
      <p className="small soft" role="status">
        {matched === null ? '' : `${formatCount(matched, 'reseal')} in this list. `}
        <span className="only-wide">Drag a row onto a year above to move it, or press its Move button.</span>
      </p>
      {body()}
      {moves.error !== null && <Banner kind="fault">{describeError(moves.error)}</Banner>}
      {moves.moving && (
        <MoveDialog
          program={program}
          moving={moves.moving}
          onClose={moves.close}
          onMove={(move) => {
            choices.move(move);
            moves.close();
          }}
        />
      )}
    </>
  );

  function body() {
    if (pages.isError && rows.length === 0)
      return <Failure what="the work" error={pages.error} retry={() => void pages.refetch()} />;
    if (matched === null) return <Loading what="the work" />;
    if (matched === 0)
      return <NoWork filtered={countWorkFilters(query) > 0} clear={() => go(withoutWorkFilter(params))} />;
    return (
      <VirtualTable
        label="Reseals"
        caption="Reseals of this list. Choose a segment to open its card; Move puts it into another year."
        className="work-scroll"
        columns={columns}
        rows={rows}
        matched={matched}
        rowKey={(work) => `${work.segmentId} ${work.year}`}
        rowPx={ROW_PX}
        order={query}
        stale={pages.isPlaceholderData}
        rowProps={(work) => ({
          className: rowClass(work, segmentId, byId.has(work.segmentId)),
          draggable: true,
          onDragStart: (event: DragEvent) => {
            event.dataTransfer.effectAllowed = 'move';
            event.dataTransfer.setData('text/plain', work.segmentId);
            setDragged(work);
          },
          onDragEnd: () => setDragged(null),
        })}
        onOrder={(order) => go(withWorkOrder(params, order))}
        onNeedMore={() => {
          if (pages.hasNextPage && !pages.isFetching) void pages.fetchNextPage();
        }}
      />
    );
  }
}

const rowClass = (work: ProgramWork, selectedId: string | null, byHand: boolean): string =>
  [work.segmentId === selectedId && 'chosen', byHand && 'by-hand'].filter(Boolean).join(' ');

const NoWork = ({ filtered, clear }: { filtered: boolean; clear: () => void }) => (
  <Empty
    title={filtered ? 'No work fits the filter' : 'Nothing is resealed'}
    action={
      filtered && (
        <button type="button" className="button" onClick={clear}>
          Clear the filter
        </button>
      )
    }
  >
    <p>
      {filtered
        ? 'Choose another year or take out a choice above.'
        : 'Under these inputs no reseal is worth its money within the horizon, or there is no money.'}
    </p>
  </Empty>
);
