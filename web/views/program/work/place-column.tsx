import type { ProgramWork } from '../../../../server/schemas/program.ts';
import type { Choice } from '../../../state/program-choices.ts';
import type { WorkColumn } from './work-columns.tsx';

interface Wants {
  readonly byId: ReadonlyMap<string, Choice>;
  readonly onMove: (work: ProgramWork) => void;
  readonly onPin: (work: ProgramWork) => void;
  readonly onRelease: (segmentIds: readonly string[]) => void;
}

/** The year of a work, where a choice by hand puts it, and the buttons that move, pin and release it. */
export const placeColumn = ({ byId, onMove, onPin, onRelease }: Wants): WorkColumn => ({
  id: 'year',
  head: 'Year',
  sort: 'year',
  widthPx: 148,
  cell: (work) => {
    const choice = byId.get(work.segmentId);
    return (
      <span className="work-place">
        <span className="figures">
          <strong>{work.year}</strong>
          {choice && <Chosen choice={choice} year={work.year} />}
        </span>
        <span className="work-buttons">
          <button
            type="button"
            className="button quiet"
            aria-label={`Move ${work.segmentId} to another year`}
            onClick={() => onMove(work)}
          >
            Move
          </button>
          {choice ? (
            <button
              type="button"
              className="button quiet"
              aria-label={`Release ${work.segmentId}: the program may place it again`}
              onClick={() => onRelease([work.segmentId])}
            >
              Release
            </button>
          ) : (
            <button
              type="button"
              className="button quiet"
              aria-label={`Pin ${work.segmentId} to ${work.year}`}
              onClick={() => onPin(work)}
            >
              Pin
            </button>
          )}
        </span>
      </span>
    );
  },
});

const Chosen = ({ choice, year }: { choice: Choice; year: number }) => (
  <span className="badge chalk">
    {choice.year === year ? 'pinned' : choice.year === null ? '→ never' : `→ ${choice.year}`}
  </span>
);
