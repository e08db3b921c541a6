import { dayNumber, isoDay, middleDay, yearsOfDays } from './observation-dates.ts';
import { type Look, type SealSpan, sealSpans, shareLooks } from './observation-looks.ts';
import type {
  Observation,
  ObservedSeal,
  ReadingRules,
  SealLook,
  SealObservation,
  SegmentObservations,
  SegmentRecords,
} from './observation-records.ts';
import type { ObservationMark, ObservationRule } from './observation-rules.ts';

export { dayNumber, daysBetween } from './observation-dates.ts';
export type * from './observation-records.ts';
export { OBSERVATION_RULES, type ObservationMark, type ObservationRule } from './observation-rules.ts';

const OLDEST_AGE_YEARS = 60;

/**
 * What the records of one segment say about the life of each of its seals: the table of the design's section
 * "From records to observations" as one function.
 *
 * Where the installation is known to a range only, lower bounds count from its latest possible day and upper bounds
 * from its earliest: the widest interval that the records allow. Averaging the likelihood over the range would be
 * sharper by a little, and needs a fit that takes several intervals for one seal; weighting them as separate rows
 * would be wrong, since the log of an average is not the average of logs.
 *
 * Delayed entry counts from the latest installation day, like lower bounds, so that the time under observation is exact.
 * @throws RangeError when a date is not a calendar day or the threshold is not above 0 and at most 1
 */
export function observeSegment(records: SegmentRecords, rules: ReadingRules): SegmentObservations {
  const { failureThresholdShare } = rules;
  if (!(failureThresholdShare > 0 && failureThresholdShare <= 1))
    throw new RangeError(`failureThresholdShare is ${failureThresholdShare}; expected above 0, at most 1`);
  const spans = sealSpans(records.seals, dayNumber(rules.today));
  const looks = shareLooks(records.inspections, spans, rules);
  const seals = records.seals.map((seal, i) => {
    const evidence = gather(records, i, spans, looks.bySeal[i], rules);
    return finish(seal, evidence, readRecords(evidence));
  });
  return {
    segmentId: records.segmentId,
    seals,
    otherMethod: looks.otherMethod,
    strayInspections: looks.stray,
    impossibleInspections: looks.impossible,
  };
}

type Installation = Pick<ObservedSeal, 'installedFrom' | 'installedTo'>;

/** Day from which ages on screen and in forecasts count: the middle of the installation range, ISO. */
export const installationDay = (seal: Installation): string => isoDay(installationDayNumber(seal));

/** The same in whole days since 1970-01-01. */
export const installationDayNumber = (seal: Installation): number =>
  middleDay(dayNumber(seal.installedFrom), dayNumber(seal.installedTo));

interface Evidence {
  readonly segmentId: string;
  readonly unsealedByPolicy: boolean;
  readonly earliest: number;
  /** Latest possible installation: no later than the first look or the removal. */ readonly latest: number;
  readonly middle: number;
  readonly removal: SealSpan['removal'];
  readonly looks: readonly Look[];
  readonly entry: number;
  readonly problem: string | null;
}

interface Reading {
  readonly rule: ObservationRule;
  readonly observation: Observation | null;
  readonly note: () => string;
  readonly firstFailed?: Look;
  readonly lastSound?: Look;
}

function gather(
  records: SegmentRecords,
  index: number,
  spans: readonly SealSpan[],
  looks: readonly Look[],
  rules: ReadingRules,
): Evidence {
  const span = spans[index];
  const seen = [looks[0]?.day, span.removal?.to].filter((day) => day !== undefined);
  const latest = Math.max(span.earliest, Math.min(span.latest, ...seen));
  const recordsFrom = rules.recordsFrom === null ? Number.NEGATIVE_INFINITY : dayNumber(rules.recordsFrom);
  return {
    segmentId: records.segmentId,
    unsealedByPolicy: records.unsealedByPolicy,
    earliest: span.earliest,
    latest,
    middle: middleDay(span.earliest, Math.max(span.earliest, span.latest)),
    removal: span.removal,
    looks,
    entry: Math.max(0, recordsFrom - latest),
    problem: problemOf(records.seals, index, spans, looks, dayNumber(rules.today)),
  };
}

/** Why the records of a seal cannot be true, or null. */
function problemOf(
  seals: readonly ObservedSeal[],
  index: number,
  spans: readonly SealSpan[],
  looks: readonly Look[],
  today: number,
): string | null {
  const seal = seals[index];
  const { earliest, latest, removal } = spans[index];
  const next = seals[index + 1];
  if (latest < earliest) return `installed between ${seal.installedFrom} and ${seal.installedTo}, which run backwards`;
  if (earliest > today) return `installed on ${seal.installedFrom}, which is still to come`;
  if (removal && removal.to < earliest) return `removed on ${isoDay(removal.to)}, before its installation`;
  if (removal?.recorded && next && removal.to > dayNumber(next.installedTo))
    return `removed on ${isoDay(removal.to)}, after the next seal was installed on ${next.installedTo}`;
  if (seal.removedOn === null && seal.removalReason !== null && removal === null)
    return `a reason of removal (${seal.removalReason}) without a day of removal`;
  const failedDay = looks.find((look) => look.failed)?.day ?? (removal?.reason === 'failed' ? removal.to : today);
  if (failedDay <= earliest && earliest < today) return `failed on ${isoDay(failedDay)}, the day of its installation`;
  const ageYears = yearsOfDays(Math.max(looks.at(-1)?.day ?? earliest, removal?.to ?? earliest) - earliest);
  if (ageYears > OLDEST_AGE_YEARS) return `${ageYears.toFixed(0)} years old; at most ${OLDEST_AGE_YEARS} is believed`;
  return null;
}

function readRecords(evidence: Evidence): Reading {
  if (evidence.unsealedByPolicy)
    return { rule: 'unsealed-by-policy', observation: null, note: () => 'The segment is unsealed by policy.' };
  if (evidence.problem !== null)
    return { rule: 'impossible-records', observation: null, note: () => `Not used: ${evidence.problem}.` };
  const firstFailedAt = evidence.looks.findIndex((look) => look.failed);
  return firstFailedAt < 0 ? readSound(evidence) : readFailed(evidence, firstFailedAt);
}

function readFailed(evidence: Evidence, firstFailedAt: number): Reading {
  const { looks, removal } = evidence;
  const firstFailed = looks[firstFailedAt];
  const lastSound = looks[firstFailedAt - 1];
  const laterSound = looks.slice(firstFailedAt + 1).findLast((look) => !look.failed);
  const found = () => `found failed at ${age(evidence, firstFailed)}`;
  if (laterSound) {
    const confirmed = looks.filter((look) => look.failed).length >= 2 || removal?.reason === 'failed';
    const told = () =>
      `Segment ${evidence.segmentId}: ${found()}, sound again at ${age(evidence, laterSound)}, with no reseal recorded`;
    const stillFailed = looks[looks.length - 1].failed;
    if (!confirmed)
      return {
        rule: 'contradictory-left-out',
        observation: null,
        note: () => `${told()}. Not used.`,
        lastSound: laterSound,
      };
    const kept = bounded(evidence, lastSound, firstFailed.day);
    return {
      rule: kept ? 'contradictory-kept' : 'before-records',
      observation: kept,
      note: () => `${told()}. The first failure is confirmed by a later record and kept.`,
      firstFailed,
      lastSound: stillFailed ? lastSound : laterSound,
    };
  }
  const observation = bounded(evidence, lastSound, firstFailed.day);
  const rule = lastSound ? 'sound-then-failed' : 'failed-at-first-look';
  const note = () =>
    lastSound ? `Sound at ${age(evidence, lastSound)}, ${found()}.` : `First inspected and ${found()}.`;
  return orBeforeRecords({ rule, observation, note, firstFailed, lastSound });
}

function readSound(evidence: Evidence): Reading {
  const { removal, looks } = evidence;
  const lastSound = looks.at(-1);
  const seen = () => (lastSound ? `Last seen sound at ${age(evidence, lastSound)}` : 'Never inspected');
  if (removal === null) {
    if (!lastSound)
      return { rule: 'never-inspected', observation: null, note: () => 'Never inspected by the network’s method.' };
    return followed(evidence, 'still-sound', () => `${seen()}; nobody has looked since.`, lastSound);
  }
  const when = () =>
    removal.recorded ? `on ${isoDay(removal.to)}` : `by ${isoDay(removal.to)}, when the next was installed`;
  switch (removal.reason) {
    case 'failed': {
      const observation = bounded(evidence, lastSound, removal.to);
      const note = () => `${seen()}; removed as failed ${when()}.`;
      return orBeforeRecords({ rule: 'removed-failed', observation, note, lastSound });
    }
    case 'preventive':
    case 'pavement-work': {
      const why = removal.reason === 'preventive' ? 'before it failed' : 'for pavement work';
      return followed(evidence, 'removed-sound', () => `${seen()}; removed ${why} ${when()}.`, lastSound);
    }
    case 'unknown':
      return followed(evidence, 'removed-unknown', () => `${seen()}; removed ${when()}, reason unknown.`, lastSound);
    default:
      return removal.reason satisfies never;
  }
}

/** Failed after `lastSound`, by `failedDay`; null when that was before records began. */
function bounded(evidence: Evidence, lastSound: Look | undefined, failedDay: number): Observation | null {
  const { entry, earliest, latest } = evidence;
  const lowerDays = Math.max(entry, lastSound ? lastSound.day - latest : 0);
  const upperDays = failedDay - earliest;
  // The day itself, and not only the widened bound, must lie after entry: else the seal is here by chance alone.
  if (failedDay - latest <= entry && entry > 0) return null;
  return upperDays > lowerDays ? { entryDays: entry, lowerDays, upperDays } : null;
}

/** Sound up to `lastSound` and not followed further. */
function followed(
  evidence: Evidence,
  rule: ObservationRule,
  note: Reading['note'],
  lastSound: Look | undefined,
): Reading {
  const lowerDays = lastSound ? lastSound.day - evidence.latest : 0;
  if (lowerDays > evidence.entry) {
    const observation = { entryDays: evidence.entry, lowerDays, upperDays: Number.POSITIVE_INFINITY };
    return { rule, observation, note, lastSound };
  }
  return {
    rule: 'no-information',
    observation: null,
    note: () => `${note()} That says nothing about its life.`,
    lastSound,
  };
}

function orBeforeRecords(reading: Reading): Reading {
  const { observation, note, firstFailed, lastSound } = reading;
  if (observation) return reading;
  const noted = () => `${note()} Records of failures began later, so it is not used.`;
  return { rule: 'before-records', observation, note: noted, firstFailed, lastSound };
}

function finish(seal: ObservedSeal, evidence: Evidence, reading: Reading): SealObservation {
  const { looks, removal, middle } = evidence;
  const inPlace = removal === null && evidence.problem === null;
  const sealLooks = looks.map(({ day, onDay, share }) => ({ onDay, ageDays: Math.max(0, day - middle), share }));
  const sealLook = (look: Look | undefined): SealLook | null => (look ? sealLooks[looks.indexOf(look)] : null);
  const marks: ObservationMark[] = [];
  if (evidence.entry > 0) marks.push('delayed-entry');
  if (evidence.latest > evidence.earliest) marks.push('imprecise-installation');
  if (removal && !removal.recorded) marks.push('implied-removal');
  return {
    sealId: seal.id,
    observation: reading.observation,
    rule: reading.rule,
    marks,
    note: reading.note,
    inPlace,
    knownFailed: inPlace && looks.at(-1)?.failed === true,
    lastSound: sealLook(reading.lastSound),
    foundFailed: sealLook(reading.firstFailed),
    lastShare: sealLooks.at(-1) ?? null,
    looks: sealLooks,
  };
}

const age = (evidence: Evidence, look: Look): string =>
  `${yearsOfDays(Math.max(0, look.day - evidence.middle)).toFixed(1)} years (${isoDay(look.day)})`;
