import { useCallback, useMemo, useState } from 'react';
import type { Closure, ClosurePlan, Schedule } from '../../../../server/schemas/closures.ts';
import { type ClosureSort, orderedClosures } from '../../../state/closure-order.ts';
import {
  clockOf,
  closedName,
  closureName,
  finishWords,
  formatClocks,
  formatWeekday,
  weatherWords,
  zoneName,
} from '../../../state/closure-words.ts';
import { formatLength } from '../../../state/format.ts';
import type { Units } from '../../../state/units.ts';
import { useUnits } from '../../shared/preferences.ts';
import type { TableOrder } from '../../shared/sort-header.tsx';
import { type VirtualColumn, VirtualTable } from '../../shared/virtual-table.tsx';
import { ClosureBadges } from './closure-badges.tsx';

interface Props {
  readonly plan: ClosurePlan;
  readonly schedule: Schedule;
  readonly closures: readonly Closure[];
  readonly open: Closure | null;
  readonly onOpen: (closure: Closure) => void;
}

/** Two lines: names of roads are long, and end in what closes. */
const ROW_PX = 48;

/** The same closures as numbers, in an order to be chosen; only the rows in sight are in the page. */
export function ClosureTable({ plan, schedule, closures, open, onOpen }: Props) {
  const units = useUnits();
  const [order, setOrder] = useState<TableOrder<ClosureSort>>({ sort: 'startsAt', descending: false });
  const rows = useMemo(() => orderedClosures(closures, order), [closures, order]);
  const { timeZone } = schedule;
  const { crews } = plan.rules;
  const openUid = open?.uid ?? null;
  const columns = useMemo(
    () => columnsOf({ units, timeZone, openUid, onOpen, crewNames: new Map(crews.map(({ id, name }) => [id, name])) }),
    [units, timeZone, openUid, onOpen, crews],
  );
  const all = useCallback(() => {}, []);
  return (
    <VirtualTable
      label={`Closures in an order to be chosen; clocks are local to ${timeZone}`}
      caption="Closures of this schedule. Choose a date to open the closure; press a head to order by it."
      className="closures-scroll"
      columns={columns}
      rows={rows}
      matched={rows.length}
      rowKey={({ uid }) => uid}
      rowPx={ROW_PX}
      order={order}
      stale={false}
      rowProps={({ uid }) => ({ className: uid === openUid ? 'chosen' : undefined })}
      onOrder={setOrder}
      onNeedMore={all}
    />
  );
}

interface ColumnsGround {
  readonly units: Units;
  readonly timeZone: string;
  readonly openUid: string | null;
  readonly crewNames: ReadonlyMap<string, string>;
  readonly onOpen: (closure: Closure) => void;
}

/** Words that do not fit are cut; the whole of them shows under the pointer, and on the card. */
const whole = (words: string) => <span title={words}>{words}</span>;

const columnsOf = ({
  units,
  timeZone,
  openUid,
  crewNames,
  onOpen,
}: ColumnsGround): VirtualColumn<Closure, ClosureSort>[] => [
  {
    ...{ id: 'date', head: 'Date', sort: 'startsAt', widthPx: 148 },
    cell: (closure) => (
      <button
        type="button"
        className="row-open"
        aria-label={`Open ${closureName(closure)}`}
        aria-pressed={closure.uid === openUid}
        onClick={() => onOpen(closure)}
      >
        {formatWeekday(closure.startsAt)}
      </button>
    ),
  },
  { id: 'facility', head: 'Closed', sort: 'facility', widthPx: 280, cell: (closure) => whole(closedName(closure)) },
  {
    ...{ id: 'time', head: 'From–to', widthPx: 150 },
    cell: (closure) => whole(`${formatClocks(closure)} ${zoneName(closure.endsAt, timeZone)}`),
  },
  { id: 'opens', head: 'May open from', widthPx: 136, cell: ({ opensAt }) => clockOf(opensAt) },
  { id: 'state', head: 'State', sort: 'state', widthPx: 190, cell: (closure) => <StateCell closure={closure} /> },
  {
    ...{ id: 'segments', head: 'Segments', widthPx: 90, numeric: true },
    cell: ({ works }) => new Set(works.map(({ segmentId }) => segmentId)).size,
  },
  {
    ...{ id: 'length', head: 'Joint', sort: 'lengthM', widthPx: 96, numeric: true, highFirst: true },
    cell: ({ lengthM }) => formatLength(lengthM, units),
  },
  {
    id: 'finish',
    head: 'Chance to finish (80 % interval)',
    sort: 'finishChance',
    widthPx: 270,
    cell: (closure) => whole(finishWords(closure)),
  },
  {
    id: 'weather',
    head: 'Workable weather',
    sort: 'weatherChance',
    widthPx: 160,
    cell: ({ weatherChance }) => whole(weatherWords(weatherChance)),
  },
  {
    ...{ id: 'crew', head: 'Crew', widthPx: 130 },
    cell: (closure) => whole(closure.crews.map((id) => crewNames.get(id) ?? id).join(', ')),
  },
  {
    ...{ id: 'reserve', head: 'Reserve window', widthPx: 230 },
    cell: ({ reserve }) => whole(reserve ? `${formatWeekday(reserve.startsAt)}, ${formatClocks(reserve)}` : 'none'),
  },
  { id: 'operations', head: 'Operations', widthPx: 360, cell: ({ operations }) => whole(operationWords(operations)) },
];

function StateCell({ closure }: { closure: Closure }) {
  const plain = closure.state === 'planned' && !closure.locked && !closure.byHand && closure.conflicts.length === 0;
  return <span className="closure-badges one-line">{plain ? 'planned' : <ClosureBadges closure={closure} />}</span>;
}

/** The kinds of operation in their order: "remove old seal, abrasive blast, …". */
const operationWords = (operations: Closure['operations']): string =>
  [...new Set(operations.map(({ kind }) => kind.replaceAll('-', ' ')))].filter((kind) => kind !== 'open').join(', ');
