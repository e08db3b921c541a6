import type { Connection } from './connection.ts';

/**
 * The seal in place is the one installed last of those not removed. Its inspections are those from the latest day on
 * which it can have been installed: an inspection earlier in an uncertain range may have seen the old seal. Only ratings by
 * the network's method count: a share of the joint's length and a share of a sample unit's sealer are not one scale.
 */
const freshSql = (of: string): string => `CREATE TEMP TABLE fresh AS
  SELECT placed.segmentRow, seal.id AS sealId, seal.sealantClass, seal.installedFrom, seal.installedTo,
    max(0, (julianday(?) - (julianday(seal.installedFrom) + julianday(seal.installedTo)) / 2) / 365.25) AS ageYears,
    look.inspectedOn AS lastInspectedOn, look.damagedShare
  FROM (
    SELECT s.row AS segmentRow, (
      SELECT row FROM seal WHERE segmentRow = s.row AND removedOn IS NULL
      ORDER BY installedFrom DESC, installedTo DESC, id DESC LIMIT 1
    ) AS sealRow FROM segment s ${of}
  ) AS placed
  LEFT JOIN seal ON seal.row = placed.sealRow
  LEFT JOIN inspection look ON look.row = (
    SELECT row FROM inspection WHERE segmentRow = placed.segmentRow AND inspectedOn >= seal.installedTo AND method = ?
    ORDER BY inspectedOn DESC, id DESC LIMIT 1
  )`;

const FORECAST_COLUMNS = [
  'modelVersion',
  'planningYear',
  'failedNowProbability',
  'knownFailed',
  'medianFailureYear',
  'lowerFailureYear',
  'upperFailureYear',
  'dueYear',
  'dueReason',
  'dataShare',
  'failedByYearEnd',
  'failedNowDraws',
];

/** SQL that forgets a forecast. */
export const CLEAR_FORECAST = FORECAST_COLUMNS.map((name) => `${name} = NULL`).join(', ');

export interface StateScope {
  planningDate: string;
  inspectionMethod: string;
  /** Ids; null: all. */ segments: ReadonlySet<string> | null;
}

/**
 * Recomputes what is known of the seal in place, inside an open transaction. A forecast stays unless the seal it was
 * made for is no longer the one in place.
 */
export function refreshStates(connection: Connection, { planningDate, inspectionMethod, segments }: StateScope): void {
  const { db } = connection;
  db.exec('DROP TABLE IF EXISTS temp.fresh');
  if (segments === null) db.prepare(freshSql('')).run(planningDate, inspectionMethod);
  else {
    const these = freshSql('WHERE s.id IN (SELECT value FROM json_each(?))');
    db.prepare(these).run(planningDate, JSON.stringify([...segments]), inspectionMethod);
  }
  db.exec(`
    UPDATE state SET ${CLEAR_FORECAST} FROM temp.fresh AS n
      WHERE n.segmentRow = state.segmentRow AND state.modelVersion IS NOT NULL AND state.sealId IS NOT n.sealId;
    UPDATE state SET sealId = n.sealId, sealantClass = n.sealantClass, installedFrom = n.installedFrom,
        installedTo = n.installedTo, ageYears = n.ageYears, lastInspectedOn = n.lastInspectedOn,
        damagedShare = n.damagedShare
      FROM temp.fresh AS n
      WHERE n.segmentRow = state.segmentRow
        AND (state.sealId, state.installedFrom, state.installedTo, state.sealantClass, state.ageYears,
             state.lastInspectedOn, state.damagedShare)
          IS NOT (n.sealId, n.installedFrom, n.installedTo, n.sealantClass, n.ageYears,
             n.lastInspectedOn, n.damagedShare);
    DROP TABLE temp.fresh;
  `);
}
