import type { Closure, ClosurePlan, Schedule } from '../../../../server/schemas/closures.ts';
import { byStart } from '../../../state/closure-calendar.ts';
import {
  clockOf,
  closureName,
  finishWords,
  formatClocks,
  formatWeekday,
  weatherWords,
  zoneName,
} from '../../../state/closure-words.ts';
import { formatLength } from '../../../state/format.ts';
import { DataTable } from '../../shared/data-table.tsx';
import { useUnits } from '../../shared/preferences.ts';
import { ClosureBadges } from './closure-badges.tsx';

interface Props {
  readonly plan: ClosurePlan;
  readonly schedule: Schedule;
  readonly closures: readonly Closure[];
  readonly onOpen: (closure: Closure) => void;
}

/** The same closures as numbers, in the order of time. */
export function ClosureTable({ plan, schedule, closures, onOpen }: Props) {
  const units = useUnits();
  const { timeZone } = schedule;
  const crews = new Map(plan.rules.crews.map(({ id, name }) => [id, name]));
  return (
    <DataTable
      caption={`Closures in the order of time; clocks are local to ${timeZone}`}
      maxHeight="34rem"
      rows={[...closures].sort(byStart)}
      rowKey={({ uid }) => uid}
      columns={[
        {
          key: 'date',
          head: 'Date',
          cell: (closure) => (
            <button
              type="button"
              className="row-open nowrap"
              aria-label={`Open ${closureName(closure)}`}
              onClick={() => onOpen(closure)}
            >
              {formatWeekday(closure.startsAt)}
            </button>
          ),
        },
        {
          key: 'facility',
          head: 'Facility',
          cell: ({ facilityName }) => <span className="words">{facilityName}</span>,
        },
        {
          key: 'time',
          head: 'Closed',
          cell: (closure) => (
            <span className="nowrap">
              {formatClocks(closure)} {zoneName(closure.endsAt, timeZone)}
            </span>
          ),
        },
        { key: 'opens', head: 'May open from', cell: ({ opensAt }) => clockOf(opensAt) },
        { key: 'state', head: 'State', cell: (closure) => <StateCell closure={closure} /> },
        {
          key: 'segments',
          head: 'Segments',
          numeric: true,
          cell: ({ works }) => new Set(works.map(({ segmentId }) => segmentId)).size,
        },
        { key: 'length', head: 'Joint', numeric: true, cell: ({ lengthM }) => formatLength(lengthM, units) },
        {
          key: 'operations',
          head: 'Operations',
          cell: ({ operations }) => <span className="words">{operationWords(operations)}</span>,
        },
        {
          key: 'crew',
          head: 'Crew',
          cell: (closure) => (
            <span className="nowrap">{closure.crews.map((id) => crews.get(id) ?? id).join(', ')}</span>
          ),
        },
        { key: 'weather', head: 'Workable weather', cell: ({ weatherChance }) => weatherWords(weatherChance) },
        { key: 'finish', head: 'Chance to finish', cell: (closure) => finishWords(closure) },
        {
          key: 'reserve',
          head: 'Reserve window',
          cell: ({ reserve }) => (
            <span className="nowrap">
              {reserve ? `${formatWeekday(reserve.startsAt)}, ${formatClocks(reserve)}` : 'none'}
            </span>
          ),
        },
      ]}
    />
  );
}

function StateCell({ closure }: { closure: Closure }) {
  const plain = closure.state === 'planned' && !closure.locked && !closure.byHand && closure.conflicts.length === 0;
  return <span className="closure-badges">{plain ? 'planned' : <ClosureBadges closure={closure} />}</span>;
}

/** The kinds of operation in their order: "remove old seal, abrasive blast, …". */
const operationWords = (operations: Closure['operations']): string =>
  [...new Set(operations.map(({ kind }) => kind.replaceAll('-', ' ')))].filter((kind) => kind !== 'open').join(', ');
