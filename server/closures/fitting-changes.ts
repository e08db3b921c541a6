import { cheapestChange } from '../../analytics/closures/cheapest-change.ts';
import type { Schedule } from '../../analytics/closures/closure-plan.ts';
import { changeCandidates } from './change-candidates.ts';
import { changeWords } from './change-words.ts';
import type { ClosureGround } from './closure-problem.ts';

/** Facilities for which changes are looked for, those with the most work left first. */
const MOST_FACILITIES = 20;

/**
 * For each facility whose work does not all fit, the cheapest change that was tried and makes it fit beside what is planned,
 * in words. A facility that is not named has none.
 * @param stop told the share done; true ends the search with what was found so far
 */
export function fittingChanges(
  ground: ClosureGround,
  { closures, unplaced }: Schedule,
  stop: (share: number) => boolean,
): Map<string, string> {
  const facilityOf = new Map(ground.problem.blocks.map(({ id, facilityId }) => [id, facilityId]));
  const leftM = new Map<string, number>();
  for (const { blockId, lengthM } of unplaced) {
    const facilityId = facilityOf.get(blockId);
    if (facilityId !== undefined) leftM.set(facilityId, (leftM.get(facilityId) ?? 0) + lengthM);
  }
  const found = new Map<string, string>();
  const wanted = [...leftM].sort(([, a], [, b]) => b - a).slice(0, MOST_FACILITIES);
  for (const [i, [facilityId]] of wanted.entries()) {
    const ended = () => stop(i / wanted.length);
    if (ended()) break;
    const unit = ground.units.get(facilityId);
    if (!unit) continue;
    const own = closures.filter((closure) => closure.facilityId === facilityId).length;
    const change = cheapestChange(ground.problem, closures, facilityId, changeCandidates(ground, unit, own), ended);
    if (change) found.set(facilityId, changeWords(change.what, change.windows));
  }
  return found;
}
