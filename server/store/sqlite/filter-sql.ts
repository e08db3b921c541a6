import type { Filter } from '../../schemas/filter.ts';
import type { SqlValue } from './connection.ts';

/** A condition over segment `s` and state `t`, with the values to bind. */
export interface SqlCondition {
  where: string;
  params: SqlValue[];
}

function decoded(item: string): string {
  try {
    return decodeURIComponent(item);
  } catch {
    return item; // a lone % is part of the word
  }
}

/** The words of a comma-separated list. A comma inside a word is written %2C. Empty: everything. */
export const filterWords = (list: string | undefined): string[] =>
  (list ?? '')
    .split(',')
    .map((item) => decoded(item.trim()))
    .filter((item) => item !== '');

/** A condition that holds for one of the words, which SQL finds as `json_each(?)`; none for an empty list. */
export const oneOf = (list: string | undefined, sql: string): SqlCondition[] => {
  const words = filterWords(list);
  return words.length === 0 ? [] : [{ where: sql, params: [JSON.stringify(words)] }];
};

/** A condition on a number; none where there is no bound. */
export const bound = (value: number | undefined, sql: string): SqlCondition[] =>
  value === undefined ? [] : [{ where: sql, params: [value] }];

function searched(text: string | undefined): SqlCondition[] {
  const wanted = (text ?? '').trim();
  if (wanted === '') return [];
  const pattern = `%${wanted.replace(/[\\%_]/g, (sign) => `\\${sign}`)}%`;
  const where = "(s.id LIKE ? ESCAPE '\\' OR s.facilityId IN (SELECT id FROM facility WHERE name LIKE ? ESCAPE '\\'))";
  return [{ where, params: [pattern, pattern] }];
}

/**
 * The one place where a filter becomes SQL: values are always bound, never written into the text.
 * A bound on something unknown (no seal in place, never inspected, no forecast) keeps only what is known.
 */
export function filterToSql(filter: Filter): SqlCondition {
  const parts = [
    ...oneOf(filter.district, 's.district IN (SELECT value FROM json_each(?))'),
    ...oneOf(filter.facility, 's.facilityId IN (SELECT value FROM json_each(?))'),
    ...oneOf(
      filter.facilityKind,
      's.facilityId IN (SELECT id FROM facility WHERE kind IN (SELECT value FROM json_each(?)))',
    ),
    ...oneOf(filter.jointType, 's.jointType IN (SELECT value FROM json_each(?))'),
    ...oneOf(filter.sealantClass, 't.sealantClass IN (SELECT value FROM json_each(?))'),
    ...bound(filter.minAgeYears, 't.ageYears >= ?'),
    ...bound(filter.maxAgeYears, 't.ageYears <= ?'),
    ...bound(filter.minDamagedShare, 't.damagedShare >= ?'),
    ...bound(filter.maxDamagedShare, 't.damagedShare <= ?'),
    ...bound(filter.minDueYear, 't.dueYear >= ?'),
    ...bound(filter.maxDueYear, 't.dueYear <= ?'),
    ...oneOf(filter.segmentIds, 's.id IN (SELECT value FROM json_each(?))'),
    ...searched(filter.search),
  ];
  return allOf(parts);
}

export const allOf = (parts: readonly SqlCondition[]): SqlCondition => ({
  where: parts.length === 0 ? '1' : parts.map((part) => part.where).join(' AND '),
  params: parts.flatMap((part) => part.params),
});

/** True when the filter keeps everything. */
export const keepsAll = (filter: Filter): boolean => filterToSql(filter).where === '1';

/**
 * Every segment has a state, so no outer join is needed. CROSS JOIN keeps the facility last: with statistics at hand SQLite
 * would rather go through all facilities first and sort, which makes each page of a list cost the whole network.
 */
export const SEGMENTS_WITH_STATE =
  'segment s JOIN state t ON t.segmentRow = s.row CROSS JOIN facility f ON f.id = s.facilityId';
