import type { ClassBelief, ClassPriorRow, Priors, PriorTable } from '../../server/schemas/priors.ts';
import type { SealantClass } from '../../server/schemas/words.ts';
import { type FieldProblem, parseDecimal } from './budget-edit.ts';

/** One belief as typed. `middle` is a median life in years, or a shape; effects have none. */
export interface BeliefDraft {
  readonly middle: string;
  readonly rangeFactor: string;
  readonly source: string;
}

/** Key of the two lines that are of no class. */
export const EFFECTS = 'effects';
export const SHAPE = 'shape';
export type BeliefKey = SealantClass | typeof EFFECTS | typeof SHAPE;

/** Every line of the table as typed. */
export type PriorDraft = Readonly<Record<BeliefKey, BeliefDraft>>;

interface Line {
  readonly key: BeliefKey;
  readonly published: BeliefDraft;
  readonly believed: BeliefDraft;
}

const text = (value: number): string => String(Number(value.toFixed(4)));

const draftOf = ({ source, rangeFactor, ...rest }: Partial<ClassBelief> & { median?: number }): BeliefDraft => ({
  middle: text(rest.medianYears ?? rest.median ?? 0),
  rangeFactor: text(rangeFactor ?? 0),
  source: source ?? '',
});

function linesOf({ classes, effects, shape }: PriorTable): Line[] {
  return [
    ...classes.map(({ sealantClass, published, believed }) => ({
      key: sealantClass,
      published: draftOf(published),
      believed: draftOf(believed),
    })),
    { key: EFFECTS, published: draftOf(effects.published), believed: draftOf(effects.believed) },
    { key: SHAPE, published: draftOf(shape.published), believed: draftOf(shape.believed) },
  ];
}

const draftFrom = (table: PriorTable, pick: (line: Line) => BeliefDraft): PriorDraft =>
  Object.fromEntries(linesOf(table).map((line) => [line.key, pick(line)])) as unknown as PriorDraft;

export const draftPriors = (table: PriorTable): PriorDraft => draftFrom(table, ({ believed }) => believed);
export const publishedDraft = (table: PriorTable): PriorDraft => draftFrom(table, ({ published }) => published);

/**
 * A line with a part typed anew. The published source does not stand for other figures, so it makes room for a reason; with
 * the published figures back, it comes back too.
 */
export function withTyped(line: BeliefDraft, part: Partial<BeliefDraft>, published: BeliefDraft): BeliefDraft {
  const next = { ...line, ...part };
  if (part.source !== undefined) return next;
  if (sameFigures(next, published)) return next.source.trim() === '' ? published : next;
  return next.source === published.source ? { ...next, source: '' } : next;
}

const sameFigures = (a: BeliefDraft, b: BeliefDraft): boolean =>
  parseDecimal(a.middle) === parseDecimal(b.middle) && parseDecimal(a.rangeFactor) === parseDecimal(b.rangeFactor);

/** True for a line that is as published, figures and source. */
export const isPublished = (line: BeliefDraft, published: BeliefDraft): boolean =>
  sameFigures(line, published) && (line.source.trim() === '' || line.source.trim() === published.source);

export const sameDraft = (a: PriorDraft, b: PriorDraft): boolean => JSON.stringify(a) === JSON.stringify(b);

const YEARS = { lowest: 0.5, highest: 100, what: 'years' };
const SHAPES = { lowest: 0.5, highest: 10, what: '' };
const CLASS_FACTOR = { lowest: 1.1, highest: 20, what: '' };
const EFFECT_FACTOR = { lowest: 1.05, highest: 10, what: '' };
const SHAPE_FACTOR = { lowest: 1.1, highest: 10, what: '' };

interface Bounds {
  readonly lowest: number;
  readonly highest: number;
  readonly what: string;
}

/**
 * The beliefs to save, null where all are as published, or what must be mended first. Bounds are those of the settings schema.
 */
export function readPriors(draft: PriorDraft, table: PriorTable): { priors: Priors | null; problems: FieldProblem[] } {
  const published = publishedDraft(table);
  const problems: FieldProblem[] = [];
  const own = (key: BeliefKey): boolean => !isPublished(draft[key], published[key]);
  const read = (key: BeliefKey, field: 'middle' | 'rangeFactor', { lowest, highest, what }: Bounds): number => {
    const value = parseDecimal(draft[key][field]);
    if (value !== null && value >= lowest && value <= highest) return value;
    const unit = what && ` ${what}`;
    problems.push({ key, field, message: `Give a number from ${lowest} to ${highest}${unit}.` });
    return 0;
  };
  const classes = table.classes.flatMap(({ sealantClass: key }) => {
    const medianYears = read(key, 'middle', YEARS);
    const rangeFactor = read(key, 'rangeFactor', CLASS_FACTOR);
    return own(key) ? [[key, { medianYears, rangeFactor, source: draft[key].source.trim() }] as const] : [];
  });
  const effects = { rangeFactor: read(EFFECTS, 'rangeFactor', EFFECT_FACTOR), source: draft.effects.source.trim() };
  const shape = {
    median: read(SHAPE, 'middle', SHAPES),
    rangeFactor: read(SHAPE, 'rangeFactor', SHAPE_FACTOR),
    source: draft.shape.source.trim(),
  };
  const priors: Priors = {
    classes: Object.fromEntries(classes),
    effects: own(EFFECTS) ? effects : null,
    shape: own(SHAPE) ? shape : null,
  };
  const nothing = classes.length === 0 && !priors.effects && !priors.shape;
  return { priors: nothing ? null : priors, problems };
}

/** SDs of a normal distribution in half of its 80 % and of its 95 %. */
const [REACH_80, REACH_95] = [1.281552, 1.959964];

/** What is believed of a median life, with its 80 % interval, as fitted lives are shown. */
export function believedLife({ believed }: Pick<ClassPriorRow, 'believed'>) {
  const factor = believed.rangeFactor ** (REACH_80 / REACH_95);
  return {
    median: believed.medianYears,
    lower: believed.medianYears / factor,
    upper: believed.medianYears * factor,
  };
}
