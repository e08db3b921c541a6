import type { ProgramWork } from '../../server/schemas/program.ts';
import type { ScenarioInputs } from '../../server/schemas/scenario.ts';
import type { SealantClass } from '../../server/schemas/words.ts';

export type Choice = ScenarioInputs['chosen'][number];

/** What is put where: all these segments into one year; null: none within the horizon. */
export interface Move {
  readonly segmentIds: readonly string[];
  readonly year: number | null;
  /** null: whichever the program finds best. */ readonly sealantClass: SealantClass | null;
}

/** The choices with a move made: one choice for each segment, the newest. */
export function withMove(choices: readonly Choice[], { segmentIds, year, sealantClass }: Move): Choice[] {
  const moved = new Set(segmentIds);
  return [
    ...choices.filter(({ segmentId }) => !moved.has(segmentId)),
    ...[...moved].map((segmentId) => ({ segmentId, year, sealantClass })),
  ];
}

/** The choices without those of these segments: the program may place them again as it finds best. */
export function withoutChoices(choices: readonly Choice[], segmentIds: readonly string[]): Choice[] {
  const released = new Set(segmentIds);
  return choices.filter(({ segmentId }) => !released.has(segmentId));
}

export interface ChoiceChange {
  readonly segmentId: string;
  /** Before; null: the program's own. */ readonly before: Choice | null;
  /** Now; null: released, the program's own again. */ readonly now: Choice | null;
}

const same = (a: Choice, b: Choice): boolean => a.year === b.year && a.sealantClass === b.sealantClass;

/** What differs between the choices that were kept and those made since. */
export function choiceChanges(kept: readonly Choice[], made: readonly Choice[]): ChoiceChange[] {
  const before = new Map(kept.map((choice) => [choice.segmentId, choice]));
  const now = new Map(made.map((choice) => [choice.segmentId, choice]));
  return [...new Set([...before.keys(), ...now.keys()])].flatMap((segmentId) => {
    const [was, is] = [before.get(segmentId) ?? null, now.get(segmentId) ?? null];
    return was && is && same(was, is) ? [] : [{ segmentId, before: was, now: is }];
  });
}

export const choicesById = (choices: readonly Choice[]): ReadonlyMap<string, Choice> =>
  new Map(choices.map((choice) => [choice.segmentId, choice]));

/** Where a choice puts a segment, in words. */
export const choiceWords = ({ year }: Pick<Choice, 'year'>): string =>
  year === null ? 'not within the horizon' : `in ${year}`;

type PlacedWork = Pick<ProgramWork, 'segmentId' | 'year'>;

/** The year of each segment's first reseal in a list of works. */
export function firstYears(works: readonly PlacedWork[]): ReadonlyMap<string, number> {
  const first = new Map<string, number>();
  for (const { segmentId, year } of works) first.set(segmentId, Math.min(year, first.get(segmentId) ?? year));
  return first;
}

export interface ClosureGroup {
  /** Segments with their first reseal in that year: they can be placed by hand. */ readonly movable: readonly string[];
  /** Segments that are resealed again in it: that follows from their first, and is the program's. */
  readonly again: readonly string[];
}

/** The works of one year, of all works of a facility. A choice by hand places a segment's first reseal alone. */
export function closureGroup(works: readonly PlacedWork[], year: number): ClosureGroup {
  const first = firstYears(works);
  const there = works.filter((work) => work.year === year).map(({ segmentId }) => segmentId);
  return {
    movable: there.filter((segmentId) => first.get(segmentId) === year),
    again: there.filter((segmentId) => first.get(segmentId) !== year),
  };
}
