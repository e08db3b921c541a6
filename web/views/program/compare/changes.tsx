import { useState } from 'react';
import type { ProgramChanges } from '../../../../server/schemas/program.ts';
import { roundMoney } from '../../../state/budget-scale.ts';
import { formatCount, formatLength, formatNumber } from '../../../state/format.ts';
import { differenceLength, differenceLengthYears, differenceMoney } from '../../../state/program-differences.ts';
import { labelOf, SEALANT_CLASS_LABELS } from '../../../state/words.ts';
import { DataTable } from '../../shared/data-table.tsx';
import { Readout } from '../../shared/page.tsx';
import { useUnits } from '../../shared/preferences.ts';

/** So many works are listed until more are asked for. */
const FIRST = 60;

/** What changed from one program to another: in a sentence, in figures, and work by work. */
export function Changes({ changes, currency }: { changes: ProgramChanges; currency: string }) {
  const units = useUnits();
  const [every, showEvery] = useState(false);
  const works = every ? changes.works : changes.works.slice(0, FIRST);
  const all = changes.added + changes.dropped + changes.moved + changes.otherClass;
  const cost = differenceMoney(changes.presentCost, (amount) => roundMoney(amount, currency));
  const failed = differenceLengthYears(changes.failedLengthYearsM, units);
  const backlog = differenceLength(changes.backlogAtEndM, units);
  return (
    <div className="stack">
      <p>{changes.sentence}</p>
      <dl className="readouts answer-readouts">
        <Readout name="Discounted cost of work" value={cost.value} more={`80 % interval ${cost.range}`} />
        <Readout name="Length failed × years" value={failed.value} more={`80 % interval ${failed.range}`} />
        <Readout name="Backlog at the end" value={backlog.value} more={`80 % interval ${backlog.range}`} />
        <Readout
          name="Works"
          value={formatNumber(all)}
          more={`${formatNumber(changes.moved)} moved, ${formatNumber(changes.added)} added, ${formatNumber(changes.dropped)} dropped, ${formatNumber(changes.otherClass)} with another class`}
        />
      </dl>
      {works.length > 0 && (
        <DataTable
          caption={
            all > works.length
              ? `The ${works.length} longest of ${formatCount(all, 'changed work')}`
              : 'Changed works, longest first'
          }
          maxHeight="24rem"
          rows={works}
          rowKey={(_, index) => index}
          columns={[
            { key: 'segment', head: 'Segment', cell: ({ segmentId }) => <span className="code">{segmentId}</span> },
            { key: 'facility', head: 'Facility', cell: ({ facilityName }) => facilityName },
            { key: 'from', head: 'From', numeric: true, cell: ({ fromYear }) => fromYear ?? 'not at all' },
            { key: 'to', head: 'To', numeric: true, cell: ({ toYear }) => toYear ?? 'not at all' },
            {
              key: 'class',
              head: 'Sealant class',
              cell: ({ fromClass, toClass }) =>
                fromClass === toClass || fromClass === null || toClass === null
                  ? labelOf(SEALANT_CLASS_LABELS, toClass ?? fromClass)
                  : `${labelOf(SEALANT_CLASS_LABELS, fromClass)} → ${labelOf(SEALANT_CLASS_LABELS, toClass)}`,
            },
            { key: 'length', head: 'Length', numeric: true, cell: ({ lengthM }) => formatLength(lengthM, units) },
          ]}
        />
      )}
      {changes.works.length > works.length && (
        <div className="row">
          <button type="button" className="button" onClick={() => showEvery(true)}>
            Show {changes.works.length} of them
          </button>
        </div>
      )}
    </div>
  );
}
