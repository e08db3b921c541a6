import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import type { Program, ProgramWork } from '../../../../server/schemas/program.ts';
import type { SealantClass } from '../../../../server/schemas/words.ts';
import { formatCount } from '../../../state/format.ts';
import { type ClosureGroup, closureGroup, firstYears, type Move } from '../../../state/program-choices.ts';
import { SEALANT_CLASS_LABELS } from '../../../state/words.ts';
import { Field } from '../../shared/controls.tsx';
import { Dialog } from '../../shared/dialog.tsx';
import { Answered } from '../../shared/states.tsx';
import type { Moving } from './use-moves.ts';
import { facilityWorkQuery } from './work-queries.ts';

interface Props {
  readonly program: Program;
  readonly moving: Moving;
  readonly onClose: () => void;
  readonly onMove: (move: Move) => void;
}

/** Puts one segment, or its whole closure group, into another year. */
export function MoveDialog({ program, moving, onClose, onMove }: Props) {
  const { work } = moving;
  const works = useQuery(facilityWorkQuery(program.scenarioId, work.facilityId));
  return (
    <Dialog title="Move to another year" open onClose={onClose}>
      <Answered query={works} what="the closure group">
        {(all) => (
          <MoveForm
            {...{ program, moving, onClose, onMove }}
            group={closureGroup(all, work.year)}
            firstYear={firstYears(all).get(work.segmentId) ?? work.year}
          />
        )}
      </Answered>
    </Dialog>
  );
}

/** Stands for: no reseal within the horizon. */
const NOT_AT_ALL = 'none';

interface FormProps extends Props {
  readonly group: ClosureGroup;
  /** Of the segment's first reseal. */ readonly firstYear: number;
}

function MoveForm({ program, moving: { work, toYear }, group, firstYear, onClose, onMove }: FormProps) {
  const isFirst = firstYear === work.year;
  const [whole, setWhole] = useState(!isFirst);
  const [target, setTarget] = useState(toYear === null ? '' : String(toYear));
  const [sealantClass, setClass] = useState<SealantClass | ''>(work.sealantClass);
  const segmentIds = whole ? group.movable : [work.segmentId];
  const ready = target !== '' && segmentIds.length > 0 && (whole || isFirst);
  return (
    <form
      className="stack"
      onSubmit={(event) => {
        event.preventDefault();
        if (!ready) return;
        onMove({
          segmentIds,
          year: target === NOT_AT_ALL ? null : Number(target),
          // Segments of a group differ in class: each is left to the program, where it may choose.
          sealantClass: whole || sealantClass === '' || target === NOT_AT_ALL ? null : sealantClass,
        });
      }}
    >
      <What {...{ work, group, whole, setWhole, firstYear }} />
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
        <ClassChoice planned={work.sealantClass} value={sealantClass} onChange={setClass} />
      )}
      <p className="small soft">
        Nothing is solved yet: gather your choices first, then solve again around them. What they cost is shown before
        they are kept.
      </p>
      <div className="row move-foot">
        <button type="button" className="button" onClick={onClose}>
          Leave it in {work.year}
        </button>
        <button type="submit" className="button primary" disabled={!ready}>
          Move
        </button>
      </div>
    </form>
  );
}

interface WhatProps {
  readonly work: ProgramWork;
  readonly group: ClosureGroup;
  readonly firstYear: number;
  readonly whole: boolean;
  readonly setWhole: (whole: boolean) => void;
}

/** One segment or all that are worked on with it; a segment's later reseals follow from its first. */
function What({ work, group, firstYear, whole, setWhole }: WhatProps) {
  const isFirst = firstYear === work.year;
  const movable = group.movable.length;
  return (
    <fieldset className="stack move-what">
      <legend className="label">What</legend>
      <label className="check">
        <input type="radio" name="what" checked={!whole} disabled={!isFirst} onChange={() => setWhole(false)} />
        <span>
          Only <span className="code">{work.segmentId}</span>
        </span>
      </label>
      {movable + group.again.length > 1 && (
        <label className="check">
          <input type="radio" name="what" checked={whole} disabled={movable === 0} onChange={() => setWhole(true)} />
          <span>
            The closure group: all {formatCount(movable, 'segment')} of {work.facilityName} in {work.year}
          </span>
        </label>
      )}
      {!isFirst && (
        <p className="small">
          In {work.year} <span className="code">{work.segmentId}</span> is resealed again; its first reseal is in{' '}
          {firstYear}. A choice by hand places the first, what follows is the program’s.
        </p>
      )}
      {group.again.length > 0 && whole && (
        <p className="small">
          {formatCount(group.again.length, 'segment')} resealed again in {work.year} will follow from their first
          reseals.
        </p>
      )}
    </fieldset>
  );
}

const ClassChoice = ({
  planned,
  value,
  onChange,
}: {
  planned: SealantClass;
  value: SealantClass | '';
  onChange: (value: SealantClass | '') => void;
}) => (
  <Field label="Reseal with">
    {(control) => (
      <select
        {...control}
        className="select"
        value={value}
        onChange={({ target }) => onChange(target.value as SealantClass | '')}
      >
        <option value="">Best of those allowed</option>
        {Object.entries(SEALANT_CLASS_LABELS).map(([word, label]) => (
          <option key={word} value={word}>
            {label}
            {word === planned ? ' (as planned)' : ''}
          </option>
        ))}
      </select>
    )}
  </Field>
);
