import { useMutation } from '@tanstack/react-query';
import { useId, useState } from 'react';
import type { Program } from '../../../../server/schemas/program.ts';
import type { SealantClass } from '../../../../server/schemas/words.ts';
import { describeError } from '../../../api/request.ts';
import { formatCount } from '../../../state/format.ts';
import type { Move } from '../../../state/program-choices.ts';
import { SEALANT_CLASS_LABELS } from '../../../state/words.ts';
import { Field } from '../../shared/controls.tsx';
import { Dialog } from '../../shared/dialog.tsx';
import { Banner } from '../../shared/states.tsx';
import { fetchAllWork } from './work-queries.ts';
import type { Moving } from './work-table.tsx';

/** Stands for: no reseal within the horizon. */
const NOT_AT_ALL = 'none';

/** Puts one segment, or its whole closure group, into another year. */
export function MoveDialog({
  program,
  moving: { work, toYear },
  onClose,
  onMove,
}: {
  program: Program;
  moving: Moving;
  onClose: () => void;
  onMove: (move: Move) => void;
}) {
  const [whole, setWhole] = useState(false);
  const [target, setTarget] = useState(toYear === null ? '' : String(toYear));
  const [sealantClass, setClass] = useState<SealantClass | ''>(work.sealantClass);
  const form = useId();
  const group = work.neighbours + 1;
  const gather = useMutation({
    mutationFn: async () => {
      if (!whole) return [work.segmentId];
      const query = {
        facility: encodeURIComponent(work.facilityId),
        year: work.year,
        sort: 'segmentId',
        descending: false,
      } as const;
      return (await fetchAllWork(program.scenarioId, query)).map(({ segmentId }) => segmentId);
    },
    onSuccess: (segmentIds) =>
      onMove({
        segmentIds,
        year: target === NOT_AT_ALL ? null : Number(target),
        // Segments of a group differ in class: each is left to the program, where it may choose.
        sealantClass: whole || sealantClass === '' || target === NOT_AT_ALL ? null : sealantClass,
      }),
  });
  return (
    <Dialog
      title="Move to another year"
      open
      onClose={onClose}
      foot={
        <>
          <button type="button" className="button" onClick={onClose}>
            Leave it in {work.year}
          </button>
          <button type="submit" form={form} className="button primary" disabled={target === '' || gather.isPending}>
            Move
          </button>
        </>
      }
    >
      <form
        id={form}
        className="stack"
        onSubmit={(event) => {
          event.preventDefault();
          if (target !== '') gather.mutate();
        }}
      >
        <fieldset className="stack move-what">
          <legend className="label">What</legend>
          <label className="check">
            <input type="radio" name="what" checked={!whole} onChange={() => setWhole(false)} />
            <span>
              Only <span className="code">{work.segmentId}</span>
            </span>
          </label>
          {group > 1 && (
            <label className="check">
              <input type="radio" name="what" checked={whole} onChange={() => setWhole(true)} />
              <span>
                The closure group: all {formatCount(group, 'segment')} of {work.facilityName} in {work.year}
              </span>
            </label>
          )}
        </fieldset>
        <Field label="To year">
          {(control) => (
            <select {...control} className="select" value={target} onChange={(event) => setTarget(event.target.value)}>
              <option value="">Choose</option>
              {program.years.map(({ year }) => (
                <option key={year} value={year} disabled={year === work.year}>
                  {year}
                  {year === work.year ? ' (is there now)' : ''}
                </option>
              ))}
              <option value={NOT_AT_ALL}>Not within the horizon</option>
            </select>
          )}
        </Field>
        {!whole && target !== NOT_AT_ALL && (
          <Field label="Reseal with">
            {(control) => (
              <select
                {...control}
                className="select"
                value={sealantClass}
                onChange={(event) => setClass(event.target.value as SealantClass | '')}
              >
                <option value="">Best of those allowed</option>
                {Object.entries(SEALANT_CLASS_LABELS).map(([word, label]) => (
                  <option key={word} value={word}>
                    {label}
                    {word === work.sealantClass ? ' (as planned)' : ''}
                  </option>
                ))}
              </select>
            )}
          </Field>
        )}
        <p className="small soft">
          Nothing is solved yet: gather your choices first, then solve again around them. What they cost is shown before
          they are kept.
        </p>
        {gather.isError && <Banner kind="fault">{describeError(gather.error)}</Banner>}
      </form>
    </Dialog>
  );
}
