import type { ProgramWork } from '../schemas/program.ts';
import type { StoredWork } from '../store/scenario-store.ts';

/** How money is written in the sentences of one program. */
export interface SentenceGround {
  readonly currency: string;
  readonly horizonYears: number;
}

/** Why a work is in the program, in a sentence or two. No lengths, so that it reads the same in any unit. */
export function workSentence(work: StoredWork, ground: SentenceGround): string {
  const chance = `${Math.round(100 * work.failedChance)} % likely to have failed by the end of ${work.year}`;
  return [chance, whyThen(work, ground), neighbours(work)].filter(Boolean).join('; ').concat('.');
}

const money = (amount: number, currency: string): string => {
  const size = Math.abs(amount);
  const shown = size < 100 ? Number(size.toPrecision(2)) : Math.round(size);
  return `${currency} ${shown.toLocaleString('en')}`;
};

function whyThen(work: StoredWork, { currency, horizonYears }: SentenceGround): string {
  const { year, why, because, cheapestYear, savedByNotWaiting, savedAgainstNever } = work;
  const over = `over ${horizonYears} years`;
  const waiting =
    savedByNotWaiting === null
      ? `without it the segment costs ${money(savedAgainstNever, currency)} more ${over}`
      : savedByNotWaiting >= 0
        ? `resealing in ${year} costs ${money(savedByNotWaiting, currency)} less ${over} than waiting a year`
        : `waiting a year would cost this segment alone ${money(savedByNotWaiting, currency)} less`;
  if (why === 'committed') return `committed for ${year}`;
  if (why === 'chosen') return `placed in ${year} by hand; ${waiting}`;
  switch (because) {
    case 'least-job':
      return `not yet due by itself, taken along since a job there must have the least length; ${waiting}`;
    case 'shared-closure':
      return `not yet due by itself, taken along to save a closure of its own; ${waiting}`;
    case 'limits':
      return `placed in ${year} by the limits or targets${best(cheapestYear, year)}; ${waiting}`;
    default:
      return waiting + best(cheapestYear, year);
  }
}

const best = (cheapestYear: number | null, year: number): string =>
  cheapestYear === null || cheapestYear === year ? '' : ` (by itself it would best be done in ${cheapestYear})`;

const neighbours = ({ neighbours: count }: StoredWork): string =>
  count === 0 ? '' : `together with ${count} ${count === 1 ? 'neighbour' : 'neighbours'} of the same closure`;

/** A work as it leaves. */
export function workAnswer(work: StoredWork, ground: SentenceGround): ProgramWork {
  const { because: _because, cheapestYear: _cheapest, savedAgainstNever: _saved, ...shown } = work;
  return { ...shown, reason: workSentence(work, ground) };
}
