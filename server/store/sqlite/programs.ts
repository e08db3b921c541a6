import { StoreError } from '../errors.ts';
import type { NewProgram, ProgramHead } from '../scenario-store.ts';
import type { Connection } from './connection.ts';
import { readMeta, writeMeta } from './meta.ts';
import { dropWorkTable, fillWorkTable } from './work-table.ts';

/** Columns of a program `p` as part of its scenario; all null where there is none. */
export const HEAD_COLUMNS = 'p.number, p.revision, p.modelVersion, p.dataVersion, p.madeAt, p.planningDate, p.madeFrom';

export interface StoredHead extends ProgramHead {
  readonly number: number | null;
}

export const headOf = ({ revision, modelVersion, dataVersion, madeAt, planningDate, madeFrom }: ProgramHead) => ({
  ...{ revision, modelVersion, dataVersion, madeAt, planningDate, madeFrom },
});

/** Number of the scenario's program; null: none. */
export const programNumber = (connection: Connection, scenarioId: string): number | null =>
  connection.get<{ number: number }>(
    'SELECT p.number FROM program p JOIN scenario s ON s.row = p.scenarioRow WHERE s.id = ?',
    scenarioId,
  )?.number ?? null;

/** Replaces a program over a connection on which a write transaction has begun; the caller ends it. */
export async function writeProgram(connection: Connection, scenarioId: string, program: NewProgram): Promise<void> {
  const scenario = connection.get<{ row: number; name: string; locked: number }>(
    'SELECT row, name, locked FROM scenario WHERE id = ?',
    scenarioId,
  );
  if (!scenario) throw new StoreError('gone', 'The scenario was deleted meanwhile; its program was not kept.');
  if (scenario.locked === 1)
    throw new StoreError('gone', `${scenario.name} was locked meanwhile, so its program stays as it was.`);
  removeWorks(connection, scenarioId);
  const number = readMeta(connection, 'programNumber') + 1;
  writeMeta(connection, 'programNumber', number);
  const { revision, modelVersion, dataVersion, madeAt, planningDate, madeFrom } = program;
  connection.run(
    'INSERT OR REPLACE INTO program VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)',
    ...[scenario.row, number, revision, modelVersion, dataVersion, madeAt, planningDate, madeFrom],
    ...[program.freeKey, program.freeObjective, JSON.stringify(program.report), program.draws],
  );
  fillWorkTable(connection, number, program.works);
}

export function removeWorks(connection: Connection, scenarioId: string): void {
  const number = programNumber(connection, scenarioId);
  if (number !== null) dropWorkTable(connection, number);
}

export function readProgram(connection: Connection, scenarioId: string): (ProgramHead & { report: unknown }) | null {
  const line = connection.get<StoredHead & { report: string }>(
    `SELECT ${HEAD_COLUMNS}, p.report FROM program p JOIN scenario s ON s.row = p.scenarioRow WHERE s.id = ?`,
    scenarioId,
  );
  return line ? { ...headOf(line), report: JSON.parse(line.report) } : null;
}

export const findFreeProgram = (connection: Connection, freeKey: string): string | null =>
  connection.get<{ id: string }>(
    `SELECT s.id FROM program p JOIN scenario s ON s.row = p.scenarioRow
     WHERE p.freeKey = ? AND p.freeObjective IS NOT NULL ORDER BY s.row LIMIT 1`,
    freeKey,
  )?.id ?? null;

export const readProgramDraws = (connection: Connection, scenarioId: string): Uint8Array | null =>
  connection.get<{ draws: Buffer }>(
    'SELECT p.draws FROM program p JOIN scenario s ON s.row = p.scenarioRow WHERE s.id = ?',
    scenarioId,
  )?.draws ?? null;
