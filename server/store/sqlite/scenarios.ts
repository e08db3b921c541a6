import type { ScenarioEdit } from '../../schemas/scenario.ts';
import type {
  ProgramHead,
  ScenarioChange,
  ScenarioRevision,
  ScenarioStore,
  StoredScenario,
} from '../scenario-store.ts';
import type { Connection } from './connection.ts';
import { HEAD_COLUMNS, headOf, removeWorks, type StoredHead } from './programs.ts';

interface ScenarioLine extends Partial<StoredHead> {
  row: number;
  id: string;
  name: string;
  note: string;
  locked: number;
  scenarioRevision: number;
  inputsRevision: number;
  createdAt: string;
  changedAt: string;
  inputs: string;
}

const SELECT = `SELECT s.row, s.id, s.name, s.note, s.locked, s.revision AS scenarioRevision, s.inputsRevision, s.createdAt,
  s.changedAt, s.inputs, ${HEAD_COLUMNS} FROM scenario s LEFT JOIN program p ON p.scenarioRow = s.row`;
/** An edit that comes later than so many others is told of the newest. */
const REVISIONS_KEPT = 200;

function scenarioOf(line: ScenarioLine): StoredScenario {
  const { id, name, note, inputsRevision, createdAt, changedAt } = line;
  const program: ProgramHead | null = line.number === null ? null : headOf(line as StoredHead);
  return {
    ...{ id, name, note, locked: line.locked === 1, revision: line.scenarioRevision, inputsRevision },
    ...{ createdAt, changedAt, inputs: JSON.parse(line.inputs), program },
  };
}

export const listScenarios = (connection: Connection): StoredScenario[] =>
  connection.all<ScenarioLine>(`${SELECT} ORDER BY s.row`).map(scenarioOf);

export function findScenario(connection: Connection, id: string): StoredScenario | null {
  const line = connection.get<ScenarioLine>(`${SELECT} WHERE s.id = ?`, id);
  return line ? scenarioOf(line) : null;
}

export function addScenario(
  connection: Connection,
  { id, name, note, inputs, createdAt }: Parameters<ScenarioStore['addScenario']>[0],
): StoredScenario {
  connection.run(
    `INSERT INTO scenario (id, name, note, locked, revision, inputsRevision, createdAt, changedAt, inputs)
     VALUES (?, ?, ?, 0, 1, 1, ?, ?, ?)`,
    ...[id, name, note, createdAt, createdAt, JSON.stringify(inputs)],
  );
  return known(findScenario(connection, id));
}

/** Over a connection on which a write transaction has begun. */
export function changeScenario(
  connection: Connection,
  id: string,
  { revision, edit, changedAt }: { revision: number | null; edit: ScenarioEdit; changedAt: string },
): ScenarioChange {
  const scenario = findScenario(connection, id);
  const refused = refusal(connection, scenario, revision);
  if (refused || !scenario) return refused ?? { kind: 'missing' };
  const fields = changedFields(scenario, edit);
  if (fields.length === 0) return { kind: 'done', scenario };
  if (scenario.locked && fields.join() !== 'locked') return { kind: 'locked', scenario };
  const next = { ...scenario, ...edit, revision: scenario.revision + 1, changedAt };
  const inputsRevision = fields.some((field) => field.startsWith('inputs')) ? next.revision : scenario.inputsRevision;
  connection.run(
    `UPDATE scenario SET name = ?, note = ?, locked = ?, revision = ?, inputsRevision = ?, changedAt = ?, inputs = ?
     WHERE id = ?`,
    ...[next.name, next.note, Number(next.locked), next.revision, inputsRevision, changedAt],
    ...[JSON.stringify(next.inputs), id],
  );
  noteRevision(connection, id, { revision: next.revision, changedAt, fields });
  return { kind: 'done', scenario: known(findScenario(connection, id)) };
}

/** Over a connection on which a write transaction has begun. */
export function removeScenario(connection: Connection, id: string, revision: number | null): ScenarioChange {
  const scenario = findScenario(connection, id);
  const refused = refusal(connection, scenario, revision);
  if (refused || !scenario) return refused ?? { kind: 'missing' };
  if (scenario.locked) return { kind: 'locked', scenario };
  removeWorks(connection, id);
  connection.run('DELETE FROM scenario WHERE id = ?', id);
  return { kind: 'done', scenario };
}

function refusal(
  connection: Connection,
  scenario: StoredScenario | null,
  revision: number | null,
): ScenarioChange | null {
  if (!scenario) return { kind: 'missing' };
  if (revision === null || revision === scenario.revision) return null;
  return { kind: 'stale', scenario, since: revisionsSince(connection, scenario.id, revision) };
}

function revisionsSince(connection: Connection, id: string, revision: number): ScenarioRevision[] {
  const lines = connection.all<{ revision: number; changedAt: string; fields: string }>(
    `SELECT c.revision, c.changedAt, c.fields FROM scenarioChange c JOIN scenario s ON s.row = c.scenarioRow
     WHERE s.id = ? AND c.revision > ? ORDER BY c.revision`,
    ...[id, revision],
  );
  return lines.map(({ fields, ...rest }) => ({ ...rest, fields: JSON.parse(fields) as string[] }));
}

function noteRevision(connection: Connection, id: string, { revision, changedAt, fields }: ScenarioRevision): void {
  connection.run(
    'INSERT INTO scenarioChange SELECT row, ?, ?, ? FROM scenario WHERE id = ?',
    ...[revision, changedAt, JSON.stringify(fields), id],
  );
  connection.run(
    'DELETE FROM scenarioChange WHERE revision <= ? AND scenarioRow = (SELECT row FROM scenario WHERE id = ?)',
    ...[revision - REVISIONS_KEPT, id],
  );
}

/** Names of what an edit would change; each part of the inputs by itself. */
function changedFields(scenario: StoredScenario, { inputs, ...edit }: ScenarioEdit): string[] {
  const names = (Object.keys(edit) as (keyof typeof edit)[]).filter((name) => edit[name] !== scenario[name]);
  if (!inputs) return names;
  const parts = Object.keys(inputs) as (keyof typeof inputs)[];
  const changed = parts.filter((name) => JSON.stringify(inputs[name]) !== JSON.stringify(scenario.inputs[name]));
  return [...names, ...changed.map((name) => `inputs.${name}`)];
}

function known(scenario: StoredScenario | null): StoredScenario {
  if (!scenario) throw new Error('A scenario just written is not there.');
  return scenario;
}
