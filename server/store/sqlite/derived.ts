import type { Connection } from './connection.ts';
import { readMeta, writeMeta } from './meta.ts';
import { rebuildRuns, refreshRunSums } from './runs/rebuild-runs.ts';
import { readSettings } from './settings.ts';
import { refreshStates } from './state-refresh.ts';

/** Grows when the rules for states or runs change, so that files made by older rules are brought up to date. */
const DERIVED_VERSION = 1;

/** What a load changed, so that no more is recomputed than hangs on it. */
export interface Changed {
  lines: boolean;
  history: boolean;
}

/** Recomputes what hangs on the records, inside an open transaction. `today`: ISO day for ages without a planning date. */
export function refreshDerived(connection: Connection, changed: Changed, today: string): void {
  const settings = readSettings(connection);
  if (changed.lines || changed.history) refreshStates(connection, settings.planningDate ?? today);
  if (changed.lines) rebuildRuns(connection, settings.failureThresholdShare);
  else if (changed.history) refreshRunSums(connection, settings.failureThresholdShare);
}

/** Once after opening a file of older rules. */
export function refreshOutdated(connection: Connection, today: string): void {
  if (readMeta(connection, 'derivedVersion') >= DERIVED_VERSION) return;
  connection.transact(() => {
    refreshDerived(connection, { lines: true, history: true }, today);
    writeMeta(connection, 'derivedVersion', DERIVED_VERSION);
  });
}
