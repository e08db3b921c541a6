import type { Job } from '../../schemas/job.ts';
import type { Load } from '../../schemas/load.ts';
import type { Connection } from './connection.ts';

/** What is past this number is forgotten, the oldest first. */
const KEPT = 200;

type Kept = { id: string; state: string };
type Table = 'job' | 'load';

function save(connection: Connection, table: Table, item: Kept): void {
  connection.run(
    `INSERT INTO ${table} (id, state, json) VALUES (?, ?, ?)
     ON CONFLICT (id) DO UPDATE SET state = excluded.state, json = excluded.json`,
    item.id,
    item.state,
    JSON.stringify(item),
  );
  connection.run(`DELETE FROM ${table} WHERE row <= (SELECT max(row) FROM ${table}) - ${KEPT}`);
}

function find<T>(connection: Connection, table: Table, id: string): T | null {
  const found = connection.get<{ json: string }>(`SELECT json FROM ${table} WHERE id = ?`, id);
  return found ? (JSON.parse(found.json) as T) : null;
}

const list = <T>(connection: Connection, table: Table, limit: number): T[] =>
  connection
    .all<{ json: string }>(`SELECT json FROM ${table} ORDER BY row DESC LIMIT ?`, limit)
    .map(({ json }) => JSON.parse(json) as T);

export const saveJob = (connection: Connection, job: Job): void => save(connection, 'job', job);
export const findJob = (connection: Connection, id: string): Job | null => find(connection, 'job', id);
/** Newest first. */
export const listJobs = (connection: Connection, limit: number): Job[] => list(connection, 'job', limit);

export const saveLoad = (connection: Connection, load: Load): void => save(connection, 'load', load);
export const findLoad = (connection: Connection, id: string): Load | null => find(connection, 'load', id);
/** Newest first. */
export const listLoads = (connection: Connection, limit: number): Load[] => list(connection, 'load', limit);

const STOPPED = 'The server stopped while this ran. Nothing of it was kept; start it again.';

/** Marks what was under way when the server stopped. Returns how many jobs and loads that were. */
export function recoverInterrupted(connection: Connection, now: string): number {
  const jobs = connection.all<{ json: string }>("SELECT json FROM job WHERE state IN ('queued', 'running')");
  for (const { json } of jobs) {
    const job = JSON.parse(json) as Job;
    saveJob(connection, { ...job, state: 'interrupted', error: STOPPED, finishedAt: now });
  }
  const loads = connection.all<{ json: string }>("SELECT json FROM load WHERE state IN ('previewing', 'loading')");
  for (const { json } of loads) {
    saveLoad(connection, { ...(JSON.parse(json) as Load), state: 'failed', error: STOPPED });
  }
  return jobs.length + loads.length;
}
