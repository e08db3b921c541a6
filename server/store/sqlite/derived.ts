import type { Connection } from './connection.ts';
import { readMeta, writeMeta } from './meta.ts';
import type { Touched } from './record-writer.ts';
import { rebuildRuns, refreshRunSums } from './runs/rebuild-runs.ts';
import { readSettings } from './settings.ts';
import { refreshStates } from './state-refresh.ts';

/** Grows when the rules for states or runs change, so that files made by older rules are brought up to date. */
const DERIVED_VERSION = 2;

function facilitiesOf(connection: Connection, segments: ReadonlySet<string>): Set<string> {
  const sql = 'SELECT DISTINCT facilityId AS id FROM segment WHERE id IN (SELECT value FROM json_each(?))';
  return new Set(connection.all<{ id: string }>(sql, JSON.stringify([...segments])).map(({ id }) => id));
}

/** Recomputes what hangs on changed records, inside an open transaction. `today`: ISO day for ages without a planning date. */
export function refreshDerived(connection: Connection, { facilities, segments }: Touched, today: string): void {
  if (segments.size === 0) return;
  const { failureThresholdShare, planningDate, inspectionMethod } = readSettings(connection);
  refreshStates(connection, { planningDate: planningDate ?? today, inspectionMethod, segments });
  if (facilities.size > 0) rebuildRuns(connection, { thresholdShare: failureThresholdShare, facilities });
  const resummed = new Set([...facilitiesOf(connection, segments)].filter((id) => !facilities.has(id)));
  if (resummed.size > 0) refreshRunSums(connection, { thresholdShare: failureThresholdShare, facilities: resummed });
}

/** Once after opening a file of older rules. */
export function refreshOutdated(connection: Connection, today: string): void {
  if (readMeta(connection, 'derivedVersion') >= DERIVED_VERSION) return;
  connection.transact(() => {
    const { failureThresholdShare, planningDate, inspectionMethod } = readSettings(connection);
    refreshStates(connection, { planningDate: planningDate ?? today, inspectionMethod, segments: null });
    rebuildRuns(connection, { thresholdShare: failureThresholdShare, facilities: null });
    writeMeta(connection, 'derivedVersion', DERIVED_VERSION);
  });
}
