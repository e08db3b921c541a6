import { useMutation } from '@tanstack/react-query';
import { useState } from 'react';
import type { Program, ProgramWork } from '../../../../server/schemas/program.ts';
import { firstYears } from '../../../state/program-choices.ts';
import type { ChoicesState } from './use-choices.ts';
import { fetchSegmentWork } from './work-queries.ts';

/** What is being moved, and where to, as far as that is known. */
export interface Moving {
  readonly work: ProgramWork;
  readonly toYear: number | null;
}

/**
 * Places a work at once where there is nothing to ask: it is its segment's first reseal, and it goes alone. Else the
 * dialog opens, which says what can be moved.
 */
export function useMoves({ scenarioId }: Pick<Program, 'scenarioId'>, choices: Pick<ChoicesState, 'move'>) {
  const [moving, setMoving] = useState<Moving | null>(null);
  const place = useMutation({
    mutationFn: async ({ work, year }: { work: ProgramWork; year: number }) => ({
      work,
      year,
      first: firstYears(await fetchSegmentWork(scenarioId, work.segmentId)).get(work.segmentId),
    }),
    onSuccess: ({ work, year, first }) => {
      if (first === work.year) choices.move({ segmentIds: [work.segmentId], year, sealantClass: work.sealantClass });
      else setMoving({ work, toYear: year === work.year ? null : year });
    },
  });
  return {
    moving,
    ask: (work: ProgramWork) => setMoving({ work, toYear: null }),
    close: () => setMoving(null),
    pin: (work: ProgramWork) => place.mutate({ work, year: work.year }),
    /** With neighbours it is asked whether they go along. */
    drop: (work: ProgramWork, year: number) =>
      work.neighbours === 0 ? place.mutate({ work, year }) : setMoving({ work, toYear: year }),
    error: place.error,
  };
}
