import { useQuery } from '@tanstack/react-query';
import { useMemo } from 'react';
import type { ScenarioInputs } from '../../../../server/schemas/scenario.ts';
import { formatCount } from '../../../state/format.ts';
import {
  COMMITTED_COLUMNS,
  committedKey,
  HELD_BACK_COLUMNS,
  heldBackKey,
  mergeRows,
  readCommitted,
  readHeldBack,
  USUAL_YEARS_BEFORE,
} from '../../../state/pasted-rows.ts';
import { choiceWords } from '../../../state/program-choices.ts';
import { labelOf, SEALANT_CLASS_LABELS } from '../../../state/words.ts';
import { facilitiesQuery } from '../../shared/queries.ts';
import { Link } from '../../shared/url.tsx';
import { CommittedEntry, HeldBackEntry } from './decided-entry.tsx';
import { DecidedList } from './decided-list.tsx';
import type { GroupProps } from './group-props.ts';
import { PasteRows } from './paste-rows.tsx';

/** Work already promised, segments held back for new pavement, and choices made by hand in the work list. */
export function DecidedFields(props: GroupProps) {
  return (
    <>
      <Committed {...props} />
      <HeldBack {...props} />
      <Chosen {...props} />
      <p className="small soft">
        Segments that the records mark as unsealed by policy are never in a program. Mark them on the screen{' '}
        <Link href="/data">Data</Link>.
      </p>
    </>
  );
}

function Committed({ draft, change, problems }: GroupProps) {
  const rows = draft.committed;
  const put = (added: ScenarioInputs['committed']) => change({ committed: mergeRows(rows, added, committedKey) });
  return (
    <fieldset className="stack setup-part">
      <legend className="label">Committed work: {formatCount(rows.length, 'segment')}</legend>
      <p className="small soft">Done in its year whatever else happens; its cost counts against that year’s budget.</p>
      <DecidedList
        caption="Committed work"
        place="committed"
        rows={rows}
        rowKey={committedKey}
        problems={problems}
        textOf={({ segmentId }) => segmentId}
        columns={[
          { key: 'segment', head: 'Segment', cell: ({ segmentId }) => <span className="code">{segmentId}</span> },
          { key: 'year', head: 'Year', cell: ({ year }) => year },
          {
            key: 'class',
            head: 'Sealant class',
            cell: ({ sealantClass }) => (sealantClass ? SEALANT_CLASS_LABELS[sealantClass] : 'best of those allowed'),
          },
        ]}
        onChange={(committed) => change({ committed })}
      />
      <CommittedEntry onAdd={(row) => put([row])} />
      <PasteRows
        what="committed work"
        columns={COMMITTED_COLUMNS}
        note="The class may be left out. Without a line of names the columns are taken in this order."
        read={readCommitted}
        onTake={put}
        onReplace={(committed) => change({ committed: [...committed] })}
      />
    </fieldset>
  );
}

function HeldBack({ draft, change, problems }: GroupProps) {
  const { data: facilities } = useQuery(facilitiesQuery);
  const known = useMemo(() => new Set((facilities ?? []).map(({ id }) => id)), [facilities]);
  const nameOf = (id: string) => facilities?.find((facility) => facility.id === id)?.name ?? id;
  const rows = draft.heldBack;
  const put = (added: ScenarioInputs['heldBack']) => change({ heldBack: mergeRows(rows, added, heldBackKey) });
  return (
    <fieldset className="stack setup-part">
      <legend className="label">Held back for new pavement: {formatCount(rows.length, 'entry', 'entries')}</legend>
      <p className="small soft">No reseal within so many years before the pavement is replaced.</p>
      <DecidedList
        caption="Held back"
        place="heldBack"
        rows={rows}
        rowKey={heldBackKey}
        problems={problems}
        textOf={({ segmentId, facilityId }) => segmentId ?? `${facilityId} ${nameOf(facilityId ?? '')}`}
        columns={[
          {
            key: 'what',
            head: 'Segment or facility',
            cell: ({ segmentId, facilityId }) =>
              segmentId === null ? <>All of {nameOf(facilityId ?? '')}</> : <span className="code">{segmentId}</span>,
          },
          { key: 'year', head: 'New pavement in', cell: ({ pavementYear }) => pavementYear },
          {
            key: 'before',
            head: 'No reseal in the years before',
            numeric: true,
            cell: ({ yearsBefore }) => yearsBefore,
          },
        ]}
        onChange={(heldBack) => change({ heldBack })}
      />
      <HeldBackEntry facilities={facilities ?? []} onAdd={(row) => put([row])} />
      <PasteRows
        what="what is held back"
        columns={HELD_BACK_COLUMNS}
        note={`Give a segment or a facility. Years before may be left out: ${USUAL_YEARS_BEFORE} then (common practice).`}
        read={(cells) => readHeldBack(cells, known)}
        onTake={put}
        onReplace={(heldBack) => change({ heldBack: [...heldBack] })}
      />
    </fieldset>
  );
}

function Chosen({ draft, change, problems }: GroupProps) {
  if (draft.chosen.length === 0)
    return (
      <p className="small soft">
        No choices by hand. They are made in the Work list, where a segment or a closure group can be moved to another
        year.
      </p>
    );
  return (
    <fieldset className="stack setup-part">
      <legend className="label">Chosen by hand: {formatCount(draft.chosen.length, 'segment')}</legend>
      <DecidedList
        caption="Chosen by hand"
        place="chosen"
        rows={draft.chosen}
        rowKey={({ segmentId }) => segmentId}
        problems={problems}
        textOf={({ segmentId }) => segmentId}
        columns={[
          { key: 'segment', head: 'Segment', cell: ({ segmentId }) => <span className="code">{segmentId}</span> },
          { key: 'year', head: 'Resealed', cell: choiceWords },
          {
            key: 'class',
            head: 'Sealant class',
            cell: ({ sealantClass }) =>
              sealantClass ? labelOf(SEALANT_CLASS_LABELS, sealantClass) : 'best of those allowed',
          },
        ]}
        onChange={(chosen) => change({ chosen })}
      />
    </fieldset>
  );
}
