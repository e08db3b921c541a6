import type { WorkReason } from './work-reason.ts';

export interface SentenceTerms {
  readonly planningYear: number;
  /** Length of the horizon. */ readonly years: number;
  /** What settled a work that was settled beforehand. */ readonly settledBy?: 'commitment' | 'hand';
  /** An inspection found the seal failed that the work replaces: not told from its chance, which may be near 1 unseen. */
  readonly knownFailed?: boolean;
}

/**
 * Why a work is there, in one sentence. Money is in the agency's currency without its sign, constant and valued in the
 * planning year, rounded to two figures.
 */
export function workSentence(reason: WorkReason, terms: SentenceTerms): string {
  const parts = [
    chanceWords(reason, terms),
    costWords(reason, terms),
    neighbourWords(reason),
    yearWords(reason, terms),
  ];
  const body = parts.filter((part) => part !== '').join('; ');
  const settled = terms.settledBy === 'hand' ? 'Chosen by hand' : 'Committed beforehand';
  const sentence = reason.because === 'committed' ? `${settled}: ${body}` : body;
  return `${sentence[0].toUpperCase()}${sentence.slice(1)}.`;
}

function chanceWords({ failedChance, year }: WorkReason, { planningYear, knownFailed }: SentenceTerms): string {
  if (knownFailed) return 'known to have failed';
  const percent = Math.round(100 * failedChance);
  const words = percent > 99 ? 'more than 99 %' : percent < 1 ? 'less than 1 %' : `${percent} %`;
  return `${words} likely failed by ${planningYear + year}`;
}

function costWords(reason: WorkReason, terms: SentenceTerms): string {
  const { savedAgainstWaiting, savedAgainstNever, because } = reason;
  const year = terms.planningYear + reason.year;
  const over = `over ${terms.years} ${terms.years === 1 ? 'year' : 'years'} and what follows`;
  const waiting = savedAgainstWaiting !== null;
  const saved = savedAgainstWaiting ?? savedAgainstNever;
  const other = waiting ? 'waiting' : 'leaving it';
  if (Math.abs(saved) < 1) return `resealing in ${year} costs about the same as ${other}, ${over}`;
  if (saved > 0) return `resealing in ${year} costs ${moneyWords(saved)} less than ${other}, ${over}`;
  const alone = `${waiting ? 'waiting a year' : 'leaving it'} would cost ${moneyWords(-saved)} less`;
  switch (because) {
    case 'least-job':
      return `${alone}, but without it the job there would be too small`;
    case 'shared-closure':
      return `${alone}, but a closure of its own costs ${moneyWords(reason.mobilisationCost)}`;
    case 'limits':
      return `${alone} for this joint alone, but the limits and targets of all joints together place it here`;
    default:
      return alone;
  }
}

function neighbourWords({ neighbours }: WorkReason): string {
  if (neighbours === 0) return '';
  return `placed with ${neighbours.toLocaleString('en-US')} ${neighbours === 1 ? 'neighbour' : 'neighbours'} of the same closure`;
}

function yearWords({ year, cheapestYear }: WorkReason, { planningYear }: SentenceTerms): string {
  if (cheapestYear === null || cheapestYear === year) return '';
  return `alone and without limits ${planningYear + cheapestYear} would be its cheapest year`;
}

/** Rounded to two figures, thousands apart. */
const moneyWords = (money: number): string => Number(money.toPrecision(2)).toLocaleString('en-US');
