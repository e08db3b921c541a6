import type { Comparison, Verdict } from '../../server/schemas/evidence-backtest.ts';
import { formatNumber, formatShare, NOT_KNOWN } from './format.ts';
import { CLIMATE_ZONE_LABELS, SEALANT_CLASS_LABELS } from './words.ts';

export type Tone = 'good' | 'caution' | 'fault' | 'thin';

/** The verdict's mark: words, and the tone that its icon and colour follow. */
export const VERDICT_MARKS: Readonly<Record<Verdict['grade'], { words: string; tone: Tone }>> = {
  good: { words: 'Good', tone: 'good' },
  'good-except': { words: 'Good, with exceptions', tone: 'caution' },
  'not-good': { words: 'Not good enough', tone: 'fault' },
  thin: { words: 'Too thin to tell', tone: 'thin' },
};

/** The judged methods as the screen says them; a new one is shown by its own name. */
export const METHOD_LABELS: Readonly<Record<string, string>> = {
  model: 'The model in use',
  'ages alone': 'The model of ages alone',
  'fixed life': 'Fixed life for each class',
  'class curve': 'Curve of the class alone',
  'age ranking': 'Oldest first',
};
/** What each other method does, so that the comparison means something. */
export const METHOD_MEANINGS: Readonly<Record<string, string>> = {
  'ages alone': 'the same model, told when seals were sound and failed, but not how much of them was damaged',
  'fixed life': 'every seal fails at the median life of its class',
  'class curve': 'the class’s share failed by age, with no regard to place, width or climate',
  'age ranking': 'the seals that are oldest for their class are taken to fail first',
};

const WORD_LABELS: Readonly<Record<string, string>> = { ...SEALANT_CLASS_LABELS, ...CLIMATE_ZONE_LABELS };
const WORDS = Object.keys(WORD_LABELS)
  .filter((word) => word !== 'unknown')
  .sort((a, b) => b.length - a.length);
const ANY_WORD = new RegExp(`(?<![\\w-])(${WORDS.join('|')})(?![\\w-])`, 'g');

const LONG_NUMBER = /(?<![\w.,-])\d{5,}(?![\w-])/g;

/** A sentence of the server with stored words of classes and zones, and long numbers, said as the screens say them. */
export const inPlainWords = (sentence: string): string =>
  sentence
    .replace(ANY_WORD, (word) => {
      const label = WORD_LABELS[word];
      return label.charAt(0).toLowerCase() + label.slice(1);
    })
    .replace(LONG_NUMBER, (digits) => formatNumber(Number(digits)))
    .replaceAll(' %', '\u00a0%');

/** "0.1 to 0.2" as "10 to 20 %". */
export function tenthLabel(label: string): string {
  const ends = /^([\d.]+) to ([\d.]+)$/.exec(label);
  if (!ends) return label;
  return `${Math.round(Number(ends[1]) * 100)} to ${Math.round(Number(ends[2]) * 100)}\u00a0%`;
}

/** Two ends of an interval; an end that is not known is said to be so. */
export function formatRange(
  range: { readonly lower: number | null; readonly upper: number | null } | null,
  format: (value: number | null) => string,
): string {
  if (range === null || (range.lower === null && range.upper === null)) return NOT_KNOWN;
  return `${format(range.lower)} to ${format(range.upper)}`;
}

/** What the judged model rests on. */
export const restsOn = (readsShares: boolean): string =>
  readsShares ? 'ages and damaged shares' : 'ages at which seals were found sound or failed';

/** Whether the model's forecasts fit what was found better than those of another method, and how surely. */
export function comparisonSentence({ against, logScore, logSkill }: Comparison): string {
  const other = `“${METHOD_LABELS[against] ?? against}”`;
  const saved =
    logSkill === null || logSkill <= 0 ? '' : `: its misfit (log score) is ${formatShare(logSkill)} smaller on average`;
  const { mean, lower, upper } = logScore;
  if (lower === null || upper === null)
    return `The model’s forecasts fit what was found ${mean > 0 ? 'better' : 'no better'} than ${other}${saved}; there are too few facilities to say how surely.`;
  if (lower > 0) return `The model’s forecasts fit what was found better than ${other}${saved}.`;
  if (upper < 0) return `The model’s forecasts fit what was found worse than ${other}.`;
  return `The model’s forecasts fit what was found neither better nor worse than ${other}, as far as these looks can tell.`;
}

/** What a list of segments is worth beside those judged: "1,200 of 30,000 segments (4.0 %)". */
export const formatPart = (part: number, whole: number): string =>
  `${formatNumber(part)} of ${formatNumber(whole)}${whole > 0 ? ` (${formatShare(part / whole)})` : ''}`;
