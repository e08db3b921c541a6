import { useEffect, useRef } from 'react';
import type { Closure, ClosurePlan, Schedule } from '../../../../server/schemas/closures.ts';
import { describeError } from '../../../api/request.ts';
import {
  clockOf,
  closureName,
  finishWords,
  formatHours,
  formatPeriod,
  formatWeekday,
  passWords,
  quantityLines,
  weatherWords,
  workLanes,
} from '../../../state/closure-words.ts';
import { formatLength, formatWidth } from '../../../state/format.ts';
import { labelOf, SEALANT_CLASS_LABELS } from '../../../state/words.ts';
import { DataTable } from '../../shared/data-table.tsx';
import { Dialog } from '../../shared/dialog.tsx';
import { useUnits } from '../../shared/preferences.ts';
import { Banner } from '../../shared/states.tsx';
import { useView } from '../../shared/url.tsx';
import { ClosureActions } from './closure-actions.tsx';
import { ClosureBadges } from './closure-badges.tsx';
import { ClosureNote } from './closure-note.tsx';
import { ConflictList } from './conflict-list.tsx';
import type { ClosureEdits } from './use-closure-edits.ts';
import { WaitingEdits } from './waiting-edits.tsx';

interface Props {
  readonly plan: ClosurePlan;
  readonly schedule: Schedule;
  readonly closure: Closure;
  readonly edits: ClosureEdits;
  /** Over the page rather than in it. */ readonly sheet: boolean;
  readonly onClose: () => void;
}

/** All about one closure: under the calendar, or over the list of a narrow screen. Escape closes it. */
export function ClosureCard(props: Props) {
  const { closure, sheet, onClose } = props;
  const title = closureName(closure);
  if (sheet)
    return (
      <Dialog title={title} open sheet onClose={onClose}>
        <div className="stack">
          <CardBody {...props} />
        </div>
      </Dialog>
    );
  return <CardUnderCalendar {...props} title={title} />;
}

/** Takes the focus when it opens. */
function CardUnderCalendar({ title, ...props }: Props & { title: string }) {
  const { closure, onClose } = props;
  const heading = useRef<HTMLHeadingElement>(null);
  // biome-ignore lint/correctness/useExhaustiveDependencies: another closure is another card, read from its top
  useEffect(() => {
    heading.current?.focus({ preventScroll: true });
    heading.current?.scrollIntoView({ block: 'nearest' });
  }, [closure.uid]);
  return (
    <section
      className="card stack closure-card"
      aria-label="Closure card"
      onKeyDown={(event) => event.key === 'Escape' && !event.defaultPrevented && onClose()}
    >
      <div className="card-head">
        <h2 tabIndex={-1} ref={heading}>
          {title}
        </h2>
        <button type="button" className="button quiet push" onClick={onClose}>
          Close
        </button>
      </div>
      <CardBody {...props} />
    </section>
  );
}

function CardBody({ plan, schedule, closure, edits, sheet, onClose }: Props) {
  const [, setMapView] = useView();
  const openSegment = (segmentId: string) => {
    // The segment's card stands in the page, under the sheet.
    if (sheet) onClose();
    setMapView({ segmentId });
  };
  return (
    <>
      <span className="closure-badges">
        <ClosureBadges closure={closure} />
      </span>
      {closure.conflicts.length > 0 && <ConflictList conflicts={closure.conflicts} />}
      <WaitingEdits schedule={schedule} edits={edits} of={(uid) => uid === closure.uid} />
      <ClosureActions plan={plan} schedule={schedule} closure={closure} edits={edits} />
      {edits.error !== null && edits.error !== undefined && <Banner kind="fault">{describeError(edits.error)}</Banner>}
      <div className="grid closure-facts">
        <Facts plan={plan} schedule={schedule} closure={closure} />
        <Operations closure={closure} />
        <Quantities closure={closure} />
      </div>
      <ClosureNote key={closure.uid} closure={closure} edits={edits} />
      <Segments plan={plan} closure={closure} onOpen={openSegment} />
      {closure.part && closure.part.direction !== 'both' && closure.works.some(acrossBoth) && (
        <p className="small soft">
          Joints across both directions are done in the lanes of this closure alone: their other half has a closure of
          its own.
        </p>
      )}
    </>
  );
}

function Facts({ plan, schedule, closure }: Pick<Props, 'plan' | 'schedule' | 'closure'>) {
  const { timeZone } = schedule;
  const units = useUnits();
  const { reserve, closedFor } = closure;
  return (
    <dl className="facts">
      {closure.part && (
        <>
          <dt>What closes</dt>
          <dd>{sentenceCase(closure.part.name)}</dd>
        </>
      )}
      <dt>Closed</dt>
      <dd>{formatPeriod(closure, timeZone)}</dd>
      <dt>Traffic may run from</dt>
      <dd>
        {formatWeekday(closure.opensAt)}, {clockOf(closure.opensAt)}, if all goes as planned
      </dd>
      <dt>Workable weather</dt>
      <dd>{weatherWords(closure.weatherChance)}</dd>
      <dt>Chance to finish</dt>
      <dd>
        {finishWords(closure)}
        {closure.finishChance !== null &&
          closure.state === 'planned' &&
          ', weather and pace together; in brackets its 80 % interval'}
      </dd>
      <dt>Reserve window</dt>
      <dd>{reserve ? formatPeriod(reserve, timeZone) : 'None'}</dd>
      <dt>Crew</dt>
      <dd>{closure.crews.map((id) => crewName(plan, id)).join(', ') || 'None'}</dd>
      <dt>Joint</dt>
      <dd>
        {formatLength(closure.lengthM, units)}
        {closure.doneM !== null && `, ${formatLength(closure.doneM, units)} of it finished`}
      </dd>
      {closedFor.length > 0 && (
        <>
          <dt>Closed also for work on</dt>
          <dd>{closedFor.join(', ')}</dd>
        </>
      )}
    </dl>
  );
}

const acrossBoth = ({ direction }: Closure['works'][number]): boolean => direction === 'both';

const sentenceCase = (words: string): string => words.charAt(0).toUpperCase() + words.slice(1);

const crewName = ({ rules }: ClosurePlan, id: string): string => rules.crews.find((crew) => crew.id === id)?.name ?? id;

function Operations({ closure }: { closure: Closure }) {
  return (
    <div>
      <h3>Order of work</h3>
      <ol className="plain-list small">
        {closure.operations.map(({ kind, how, hours }) => (
          <li key={`${kind} ${how}`}>
            {how}{' '}
            <span className="soft nowrap">{hours === null ? '(as the day asks)' : `(${formatHours(hours)})`}</span>
          </li>
        ))}
      </ol>
    </div>
  );
}

function Quantities({ closure }: { closure: Closure }) {
  const units = useUnits();
  return (
    <div>
      <h3>Amounts</h3>
      <ul className="plain-list small">
        {quantityLines(closure, units).map((line) => (
          <li key={line}>{line}</li>
        ))}
        <li>Crew time: {formatHours(closure.crewHours)} of workers</li>
      </ul>
    </div>
  );
}

function Segments({
  plan,
  closure,
  onOpen,
}: Pick<Props, 'plan' | 'closure'> & { onOpen: (segmentId: string) => void }) {
  const units = useUnits();
  return (
    <DataTable
      caption="Segments in order along the pavement"
      maxHeight="22rem"
      rows={closure.works}
      rowKey={({ segmentId, pass, fromM }) => `${segmentId} ${pass} ${fromM}`}
      columns={[
        {
          key: 'segment',
          head: 'Segment',
          cell: ({ segmentId }) => (
            <button type="button" className="row-open code" onClick={() => onOpen(segmentId)}>
              {segmentId}
            </button>
          ),
        },
        ...(closure.works.some((work) => workLanes(work) !== '')
          ? [{ key: 'lanes', head: 'Direction, lanes', cell: workLanes }]
          : []),
        { key: 'from', head: 'From', numeric: true, cell: ({ fromM }) => formatLength(fromM, units) },
        { key: 'to', head: 'To', numeric: true, cell: ({ toM }) => formatLength(toM, units) },
        { key: 'length', head: 'Joint', numeric: true, cell: ({ lengthM }) => formatLength(lengthM, units) },
        { key: 'width', head: 'Width', numeric: true, cell: ({ widthMm }) => formatWidth(widthMm, units) },
        { key: 'pass', head: 'Work', cell: ({ pass }) => passWords(pass) },
        {
          key: 'there',
          head: 'Seal that is there',
          cell: ({ sealantClassInPlace }) => (
            <span className="words">{labelOf(SEALANT_CLASS_LABELS, sealantClassInPlace)}</span>
          ),
        },
        {
          key: 'new',
          head: 'New seal',
          cell: ({ sealantClass }) => <span className="words">{labelOf(SEALANT_CLASS_LABELS, sealantClass)}</span>,
        },
        { key: 'crew', head: 'Crew', cell: ({ crewId }) => crewName(plan, crewId) },
        {
          key: 'when',
          head: 'Begin–end',
          cell: ({ startsAt, endsAt }) => (
            <span className="nowrap">
              {clockOf(startsAt)}–{clockOf(endsAt)}
            </span>
          ),
        },
      ]}
    />
  );
}
