import { comparePrograms } from '../../analytics/program/compare-programs.ts';
import { planChanges } from '../../analytics/program/plan-changes.ts';
import type { PlanChange } from '../../analytics/program/program-comparison.ts';
import type { Estimate, OutcomeDraws } from '../../analytics/program/program-outcome.ts';
import type { ProgramPlan } from '../../analytics/program/program-problem.ts';
import { ProblemError } from '../problems.ts';
import type { Interval } from '../schemas/common.ts';
import type { Program, ProgramChanges } from '../schemas/program.ts';
import { SEALANT_CLASSES } from '../schemas/words.ts';
import type { Store } from '../store/store.ts';
import { decodeOutcome } from './outcome-bytes.ts';
import { moneyWords, percentWords } from './program-words.ts';
import { readProgramReport } from './stored-program.ts';

const MOST_LISTED = 500;

/**
 * What changed from one scenario's program to another's, each paired with the other by segment and year.
 * @throws ProblemError where a scenario or its program is missing, or the two have no year in common
 */
export async function programChanges(store: Store, from: string, to: string): Promise<ProgramChanges> {
  const [first, second] = [await readProgramReport(store, from), await readProgramReport(store, to)];
  if (first.currency !== second.currency)
    throw new ProblemError('conflict', `One program is in ${first.currency}, the other in ${second.currency}.`);
  const segments = new SegmentNumbers();
  const [before, after] = [await segments.planOf(store, from), await segments.planOf(store, to)];
  const changes = planChanges(before, after, segments.count);
  const { difference, sameModel } = await outcomeDifference(store, from, to);
  const count = (kind: PlanChange['kind']) => changes.filter((change) => change.kind === kind).length;
  const counts = {
    ...{ added: count('added'), dropped: count('dropped'), moved: count('moved') },
    otherClass: changes.filter(isOtherClass).length,
  };
  const answer = {
    ...{ from, to, ...counts },
    presentCost: interval(difference.presentCost),
    failedLengthYearsM: interval(difference.failedLengthYears),
    backlogAtEndM: interval(difference.backlogAtEndM),
    works: segments.listed(changes),
  };
  const { cheaperShare } = difference;
  return { ...answer, sentence: sentence(answer, { first, second, cheaperShare, sameModel }) };
}

const interval = ({ median, lower, upper }: Estimate): Interval => ({ median, lower, upper });

const isOtherClass = ({ before, after }: PlanChange): boolean =>
  before !== null && after !== null && before.sealantClass !== after.sealantClass;

/** Segments of two programs, numbered as they are met: the records may have changed between them. */
class SegmentNumbers {
  private readonly numbers = new Map<string, number>();
  private readonly known: { segmentId: string; facilityName: string; lengthM: number }[] = [];

  get count(): number {
    return this.known.length;
  }

  async planOf(store: Store, scenarioId: string): Promise<ProgramPlan> {
    const [segment, year, sealantClass]: [number[], number[], number[]] = [[], [], []];
    for await (const batch of store.readWorks(scenarioId, 'segment'))
      for (const work of batch) {
        segment.push(this.numberOf(work));
        year.push(work.year);
        sealantClass.push(SEALANT_CLASSES.indexOf(work.sealantClass));
      }
    const [segments, years, classes] = [segment, year, sealantClass].map((list) => Int32Array.from(list));
    return { segment: segments, year: years, sealantClass: classes };
  }

  listed(changes: readonly PlanChange[]): ProgramChanges['works'] {
    return changes
      .map(({ segment, before, after }) => ({
        ...this.known[segment],
        fromYear: before?.year ?? null,
        toYear: after?.year ?? null,
        fromClass: before ? SEALANT_CLASSES[before.sealantClass] : null,
        toClass: after ? SEALANT_CLASSES[after.sealantClass] : null,
      }))
      .sort((a, b) => b.lengthM - a.lengthM)
      .slice(0, MOST_LISTED);
  }

  private numberOf({ segmentId, facilityName, lengthM }: (typeof this.known)[number]): number {
    const known = this.numbers.get(segmentId);
    if (known !== undefined) return known;
    const number = this.known.push({ segmentId, facilityName, lengthM }) - 1;
    this.numbers.set(segmentId, number);
    return number;
  }
}

async function outcomeDifference(store: Store, from: string, to: string) {
  const [first, second] = [await store.readProgramDraws(from), await store.readProgramDraws(to)].map((bytes) =>
    decodeOutcome(bytes ?? new Uint8Array()),
  );
  const draws = Math.min(first.outcome.draws, second.outcome.draws);
  if (!first.outcome.years.some((year) => second.outcome.years.includes(year)))
    throw new ProblemError('conflict', 'The two programs have no year in common, so there is nothing to compare.');
  return {
    difference: comparePrograms(firstDraws(first.outcome, draws), firstDraws(second.outcome, draws)),
    sameModel: first.modelVersion === second.modelVersion,
  };
}

function firstDraws(outcome: OutcomeDraws, draws: number): OutcomeDraws {
  const kept = (values: Float64Array) => values.subarray(0, draws * outcome.years.length);
  const { failedM, cost, openCost } = outcome;
  return { ...outcome, draws, failedM: kept(failedM), cost: kept(cost), openCost: kept(openCost) };
}

interface SentenceGround {
  readonly first: Program;
  readonly second: Program;
  readonly cheaperShare: number;
  readonly sameModel: boolean;
}

function sentence(
  { added, dropped, moved, otherClass, presentCost }: Omit<ProgramChanges, 'sentence'>,
  { first, second, cheaperShare, sameModel }: SentenceGround,
): string {
  const count = (value: number) => value.toLocaleString('en-US');
  const works = `${count(added)} works added, ${count(dropped)} dropped, ${count(moved)} moved to another year, ${count(otherClass)} with another class`;
  const money = (value: number) => moneyWords(Math.abs(value), first.currency);
  const more = presentCost.median >= 0 ? 'more' : 'less';
  const cost = `work costs ${money(presentCost.median)} ${more} (money of ${first.priceYear}, discounted)`;
  const chance = `with open joints counted it comes out cheaper in ${percentWords(cheaperShare, 0)} of draws`;
  const models = sameModel
    ? ''
    : ' The two rest on different forecasts, so the differences hold what the forecasts differ by too.';
  return `From ${first.scenarioName} to ${second.scenarioName}: ${works}; ${cost}; ${chance}.${models}`;
}
