import type { Filter } from '../../schemas/filter.ts';
import type { Summary } from '../../schemas/forecast.ts';
import type { Connection } from './connection.ts';
import { filterToSql } from './filter-sql.ts';
import { readMeta } from './meta.ts';
import { readSettings } from './settings.ts';

type Facets = Summary['facets'];
type FacetName = keyof Facets;
type FacetLine = Facets[FacetName][number];

const FACET_COLUMNS: Record<FacetName, string> = {
  district: 's.district',
  facilityKind: 'f.kind',
  jointType: 's.jointType',
  sealantClass: 't.sealantClass',
};

const FROM = 'segment s JOIN state t ON t.segmentRow = s.row';

function totals(connection: Connection, filter: Filter) {
  const { where, params } = filterToSql(filter);
  const found = connection.get<Omit<Summary, 'dueByYear' | 'facets' | 'ageYearsRange' | 'dataVersion'>>(
    `SELECT count(*) AS segments,
       total(s.sealedLengthM) AS sealedLengthM,
       total(s.sealedLengthM * t.failedNowProbability) AS expectedFailedNowM,
       total(s.sealedLengthM) FILTER (WHERE t.damagedShare >= ?) AS distressedM,
       count(*) FILTER (WHERE t.lastInspectedOn IS NULL AND NOT s.unsealedByPolicy) AS neverInspected,
       count(*) FILTER (WHERE t.planningYear IS NOT NULL AND t.dueYear IS NULL) AS dueBeyondHorizon
     FROM ${FROM} WHERE ${where}`,
    readSettings(connection).failureThresholdShare,
    ...params,
  );
  if (!found) throw new Error('Totals gave no line.');
  return found;
}

function dueByYear(connection: Connection, filter: Filter): Summary['dueByYear'] {
  const { where, params } = filterToSql(filter);
  return connection.all(
    `SELECT t.dueYear AS year, count(*) AS segments, total(s.sealedLengthM) AS sealedLengthM
     FROM ${FROM} WHERE ${where} AND t.dueYear IS NOT NULL GROUP BY t.dueYear ORDER BY t.dueYear`,
    ...params,
  );
}

/** Counts of each word under all the other filters, so that a word that is not chosen still shows what it would add. */
function facetUnder(connection: Connection, name: FacetName, filter: Filter): FacetLine[] {
  const { where, params } = filterToSql({ ...filter, [name]: undefined });
  const column = FACET_COLUMNS[name];
  const join = name === 'facilityKind' ? ' JOIN facility f ON f.id = s.facilityId' : '';
  return connection.all<FacetLine>(
    `SELECT ${column} AS value, count(*) AS count, total(s.sealedLengthM) AS sealedLengthM
     FROM ${FROM}${join} WHERE ${where} AND ${column} IS NOT NULL GROUP BY ${column} ORDER BY ${column}`,
    ...params,
  );
}

function networkFacets(connection: Connection): Facets {
  return {
    district: facetUnder(connection, 'district', {}),
    facilityKind: facetUnder(connection, 'facilityKind', {}),
    jointType: facetUnder(connection, 'jointType', {}),
    sealantClass: facetUnder(connection, 'sealantClass', {}),
  };
}

/** What does not depend on the filter: the words present and the ages, for the controls of the filter. */
export interface NetworkWords {
  facets: Facets;
  ageYearsRange: [number, number] | null;
}

export function readNetworkWords(connection: Connection): NetworkWords {
  const age = connection.get<{ least: number | null; most: number | null }>(
    'SELECT min(ageYears) AS least, max(ageYears) AS most FROM state',
  );
  const known = age && age.least !== null && age.most !== null;
  return {
    facets: networkFacets(connection),
    ageYearsRange: known ? [age.least as number, age.most as number] : null,
  };
}

function facet(connection: Connection, name: FacetName, filter: Filter, words: NetworkWords): FacetLine[] {
  const counted = new Map(facetUnder(connection, name, filter).map((line) => [line.value, line]));
  return words.facets[name].map(({ value }) => counted.get(value) ?? { value, count: 0, sealedLengthM: 0 });
}

/** Totals of what the filter keeps; facets and the age range list the whole network's words and ages. */
export function summarise(connection: Connection, filter: Filter, words: NetworkWords): Summary {
  return {
    ...totals(connection, filter),
    dueByYear: dueByYear(connection, filter),
    facets: {
      district: facet(connection, 'district', filter, words),
      facilityKind: facet(connection, 'facilityKind', filter, words),
      jointType: facet(connection, 'jointType', filter, words),
      sealantClass: facet(connection, 'sealantClass', filter, words),
    },
    ageYearsRange: words.ageYearsRange,
    dataVersion: readMeta(connection, 'dataVersion'),
  };
}
