import { type SentenceTerms, workSentence } from '../../analytics/program/work-sentence.ts';
import type { Program, ProgramWork } from '../schemas/program.ts';
import type { StoredWork } from '../store/scenario-store.ts';

/** What the sentences of one program's works are worded with. */
export const sentenceTerms = ({ years }: Pick<Program, 'years'>): SentenceTerms => ({
  planningYear: years[0]?.year ?? 0,
  years: years.length,
});

/** A work as it leaves, with its reason in a sentence. */
export function workAnswer(work: StoredWork, terms: SentenceTerms): ProgramWork {
  const { because, cheapestYear, savedAgainstNever, mobilisationCost, ...shown } = work;
  const reason = workSentence(
    {
      segment: 0, // not in the sentence, as the class
      sealantClass: 0,
      year: work.year - terms.planningYear,
      failedChance: work.failedChance,
      savedAgainstWaiting: work.savedByNotWaiting,
      neighbours: work.neighbours,
      cheapestYear: cheapestYear === null ? null : cheapestYear - terms.planningYear,
      ...{ because, savedAgainstNever, mobilisationCost },
    },
    { ...terms, settledBy: work.why === 'chosen' ? 'hand' : 'commitment' },
  );
  return { ...shown, reason };
}
