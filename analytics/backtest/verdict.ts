import type { GroupForecast } from './calibration.ts';

/** `good`: budget with it. `good-except`: only some places are off. `not-good`: the total is off. `thin`: too few to tell. */
export type VerdictGrade = 'good' | 'good-except' | 'not-good' | 'thin';

export interface PlaceOff {
  readonly kind: 'class' | 'district' | 'climate zone';
  readonly name: string;
  readonly trials: number;
  readonly foundShare: number;
  readonly forecastShare: number;
}

export interface Verdict {
  readonly grade: VerdictGrade;
  readonly sentence: string;
  readonly places: readonly PlaceOff[];
  /** Classes with too few trials or failures to be judged. */ readonly tooThin: readonly string[];
}

/** The rule, in one place. */
export const VERDICT_RULE = {
  /** Fewer looks or failures than this in all: no verdict. */ leastTrials: 100,
  leastFailures: 10,
  /** Fewer looks, or failures expected and found, than this in a class or place: it is not judged. */
  leastTrialsOfPlace: 30,
  leastFailuresOfPlace: 5,
  /** A total outside its 80 % interval still does where it is within this share of what was found. */
  totalShareOff: 0.1,
  /** A class or place is off when beyond chance and by this many points, or by this share of what was found. */
  pointsOff: 0.1,
  shareOff: 0.25,
} as const;

export interface Judged {
  readonly total: GroupForecast;
  readonly byClass: readonly GroupForecast[];
  readonly byDistrict: readonly GroupForecast[];
  readonly byZone: readonly GroupForecast[];
}

/**
 * Whether the forecast is good enough to budget with: the total within its 80 % interval (or within a tenth of what was
 * found, since the interval of a large network is narrower than any budget), and no class, district or climate zone off
 * beyond its 95 % interval by 10 points or by a quarter of what was found.
 */
export function verdictOf(judged: Judged | null): Verdict {
  const total = judged?.total;
  if (!judged || !total || total.trials < VERDICT_RULE.leastTrials || total.found < VERDICT_RULE.leastFailures)
    return { grade: 'thin', sentence: thinSentence(total), places: [], tooThin: [] };
  const tooThin = judged.byClass.filter(isThin).map(({ label }) => label);
  const places = [
    ...placesOff('class', judged.byClass),
    ...placesOff('district', judged.byDistrict),
    ...placesOff('climate zone', judged.byZone),
  ];
  const totalHolds = within(total.found, total.within80) || offBy(total) <= VERDICT_RULE.totalShareOff;
  const grade = !totalHolds ? 'not-good' : places.length > 0 ? 'good-except' : 'good';
  return { grade, sentence: sentenceOf(grade, total, places, tooThin), places, tooThin };
}

const within = (value: number, { lower, upper }: { lower: number; upper: number }): boolean =>
  value >= lower && value <= upper;

/** Departure of the expected from the found number, as a share of the found one. */
const offBy = ({ found, expected }: GroupForecast): number => Math.abs(expected - found) / Math.max(1, found);

const isThin = ({ trials, found, expected }: GroupForecast): boolean =>
  trials < VERDICT_RULE.leastTrialsOfPlace || Math.max(found, expected) < VERDICT_RULE.leastFailuresOfPlace;

function placesOff(kind: PlaceOff['kind'], rows: readonly GroupForecast[]): PlaceOff[] {
  const off = (row: GroupForecast): boolean =>
    !isThin(row) &&
    !within(row.found, row.within95) &&
    (Math.abs(row.foundShare - row.forecastShare) > VERDICT_RULE.pointsOff || offBy(row) > VERDICT_RULE.shareOff);
  return rows.filter(off).map(({ label, trials, foundShare, forecastShare }) => ({
    kind,
    name: label,
    trials,
    foundShare,
    forecastShare,
  }));
}

const percent = (share: number): string => {
  const value = 100 * share;
  return `${value > 0 && value < 9.95 ? value.toFixed(1) : value.toFixed(0)} %`;
};

const thinSentence = (total: GroupForecast | undefined): string =>
  `Too few inspections after the cut-off dates to tell whether the forecast can be budgeted with: ${total?.trials ?? 0} looks, ${total?.found ?? 0} failures.`;

function sentenceOf(
  grade: VerdictGrade,
  total: GroupForecast,
  places: readonly PlaceOff[],
  tooThin: readonly string[],
): string {
  const figures = `it expected ${percent(total.forecastShare)} of ${total.trials} later looks to find a failure and ${percent(total.foundShare)} did`;
  const where = places.length > 0 ? listed(places.map(described)) : '';
  const thin = tooThin.length > 0 ? ` Too few looks or failures to judge ${listed(tooThin)}.` : '';
  if (grade === 'good') return `Good enough to budget with: ${figures}.${thin}`;
  if (grade === 'good-except') return `Good enough to budget with in total (${figures}), but not for ${where}.${thin}`;
  const direction = total.expected < total.found ? 'too few' : 'too many';
  const except = where ? ` It is furthest off for ${where}.` : '';
  return `Not good enough to budget with: it foresaw ${direction} failures; ${figures}.${except}${thin}`;
}

const described = ({ kind, name, foundShare, forecastShare }: PlaceOff): string =>
  `the ${kind} ${name} (${percent(forecastShare)} expected, ${percent(foundShare)} found)`;

const listed = (parts: readonly string[]): string =>
  parts.length < 2 ? parts.join('') : `${parts.slice(0, -1).join(', ')} and ${parts[parts.length - 1]}`;
