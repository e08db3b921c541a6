import { falseDiscoveryShares } from './benjamini-hochberg.ts';
import type { LevelEffect, PooledFit, PooledGrouping } from './fit-pooled.ts';

export interface OddOptions {
  /** Share of the levels named that may be named wrongly; 0.05 unless given. */ readonly falseDiscoveryShare?: number;
  /** Levels of which fewer failures are expected are not judged; 5 unless given. */ readonly leastExpected?: number;
}

export interface OddLevel extends LevelEffect {
  readonly grouping: string;
  readonly direction: 'fails early' | 'lasts long';
  /** Smallest share of false discoveries at which this level would be named. */ readonly falseDiscoveryShare: number;
  /** Chance, given all records, that life differs to the other side. */ readonly wrongSideChance: number;
  readonly sentence: string;
}

export interface OddLevels {
  /** Early failures before long lives, the furthest from the usual first. */ readonly odd: readonly OddLevel[];
  /** Levels that were judged, and those left out because too little can be expected of them. */
  readonly judged: number;
  readonly thin: number;
  /** One for each level, in the order of the grouping's levels. */ readonly sentences: readonly string[];
  readonly sentence: string;
}

/** The shrunk effect must say at least this plainly which way it goes, so that an 80 % interval leaves out 1. */
const WRONG_SIDE = 0.1;

/**
 * Levels of one grouping whose life differs beyond chance. A level is named only where two readings agree:
 * its count of failures against those expected, with false discoveries held by Benjamini and Hochberg (1995) over all
 * levels judged, and the sign of its shrunk effect (Stephens, Biostatistics 18, 2017, on false sign rates). Levels
 * of which the average and the fit alike expect few failures are never named, whatever their count. Failures within a
 * level are taken as independent; give segments or facilities as a further grouping where they are not.
 * @throws RangeError where the fit has no such grouping or a share is not between 0 and 1
 */
export function findOdd(fit: PooledFit, groupingName: string, options: OddOptions = {}): OddLevels {
  const { falseDiscoveryShare = 0.05, leastExpected = 5 } = options;
  if (!(falseDiscoveryShare > 0 && falseDiscoveryShare < 1))
    throw new RangeError(`falseDiscoveryShare is ${falseDiscoveryShare}; expected between 0 and 1`);
  const grouping = fit.groupings.find(({ name }) => name === groupingName);
  if (!grouping)
    throw new RangeError(
      `The fit has no grouping ${groupingName}; it has ${fit.groupings.map(({ name }) => name).join(', ') || 'none'}`,
    );
  const judged = grouping.levels.flatMap((level, l) => (isJudged(level, leastExpected) ? [l] : []));
  const chances = Float64Array.from(judged, (l) => grouping.levels[l].countChance ?? 1);
  const shares = falseDiscoveryShares(chances);
  const shareOf = new Map(judged.map((l, k) => [l, shares[k]]));
  const found = new Map<number, OddLevel>();
  for (const l of judged) {
    const share = shareOf.get(l) ?? 1;
    const level = asOdd(grouping, grouping.levels[l], share, fit.level);
    if (share <= falseDiscoveryShare && level.wrongSideChance <= WRONG_SIDE && sidesAgree(level)) found.set(l, level);
  }
  const inUse = grouping.levels.filter(({ seals }) => seals > 0).length;
  const thin = inUse - judged.length;
  const odd = [...found.values()].sort(byDistance);
  return {
    odd,
    judged: judged.length,
    thin,
    sentences: grouping.levels.map(
      (level, l) => found.get(l)?.sentence ?? ordinary(level, grouping, fit.level, leastExpected),
    ),
    sentence: summary(grouping, odd, { judged: judged.length, thin, leastExpected }),
  };
}

/** A level that failed early was followed too briefly for the average to fail; then its own fit says what it can tell. */
const isJudged = ({ effect, expectedFailures, fittedFailures }: LevelEffect, least: number): boolean =>
  effect !== null && Math.max(expectedFailures ?? 0, fittedFailures ?? 0) >= least;

function asOdd(grouping: PooledGrouping, level: LevelEffect, share: number, confidence: number): OddLevel {
  const shorter = level.shorterChance ?? 0.5;
  const direction = shorter > 0.5 ? 'fails early' : 'lasts long';
  return {
    ...level,
    grouping: grouping.name,
    direction,
    falseDiscoveryShare: share,
    wrongSideChance: Math.min(shorter, 1 - shorter),
    sentence: `${capital(grouping.name)} ${level.level} ${direction}: ${evidence(level, confidence)}.`,
  };
}

/** More failures than expected go with a shorter life. */
const sidesAgree = ({ direction, failures, expectedFailures }: OddLevel): boolean =>
  direction === 'fails early' ? failures > (expectedFailures ?? 0) : failures < (expectedFailures ?? 0);

const byDistance = (a: OddLevel, b: OddLevel): number => {
  if (a.direction !== b.direction) return a.direction === 'fails early' ? -1 : 1;
  return Math.abs(b.effect ?? 0) - Math.abs(a.effect ?? 0);
};

function evidence(
  { failures, expectedFailures, seals, lifeRatio, lifeRatioLower, lifeRatioUpper }: LevelEffect,
  level: number,
) {
  const interval = `${Math.round(100 * level)} % interval ${ratio(lifeRatioLower)} to ${ratio(lifeRatioUpper)}`;
  return `${count(failures)} of ${count(seals)} seals failed where ${count(expectedFailures ?? 0)} were expected, and life is ${ratio(lifeRatio)} of the usual (${interval})`;
}

function ordinary(level: LevelEffect, grouping: PooledGrouping, confidence: number, leastExpected: number): string {
  const name = `${capital(grouping.name)} ${level.level}`;
  if (level.seals === 0) return `${name} has no seals on record.`;
  if (level.effect === null) return `${name} cannot be compared: ${grouping.sentence}`;
  if (!isJudged(level, leastExpected))
    return `${name} has too little on record to judge: ${count(level.failures)} of ${count(level.seals)} seals failed where ${count(level.expectedFailures ?? 0)} were expected.`;
  return `${name} shows nothing beyond chance: ${evidence(level, confidence)}.`;
}

/** "lots" for "lot", "facilities" for "facility". */
const pluralOf = (name: string): string => (name.endsWith('y') ? `${name.slice(0, -1)}ies` : `${name}s`);

function summary(
  { name, sentence }: PooledGrouping,
  odd: readonly OddLevel[],
  { judged, thin, leastExpected }: { judged: number; thin: number; leastExpected: number },
): string {
  if (judged === 0)
    return thin > 0
      ? `No ${name} can be judged: fewer than ${leastExpected} failures are expected of each. ${sentence}`
      : sentence;
  const early = odd.filter(({ direction }) => direction === 'fails early').length;
  const rest = thin > 0 ? `; ${thin} more have too little on record` : '';
  return `Of ${judged} ${pluralOf(name)} judged, ${early} fail early and ${odd.length - early} last long beyond chance${rest}.`;
}

const capital = (word: string): string => word.charAt(0).toUpperCase() + word.slice(1);
const ratio = (value: number | null): string => (value === null ? 'unknown' : value.toFixed(2));
const count = (value: number): string => String(Number(value.toFixed(1)));
