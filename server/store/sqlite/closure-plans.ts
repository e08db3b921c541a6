import type { ClosurePlanEdit, ScheduleHead } from '../../schemas/closures.ts';
import type {
  ChangeNote,
  ClosureChange,
  ClosurePlanChange,
  ClosureStore,
  StoredClosure,
  StoredClosurePlan,
  StoredSchedule,
} from '../closure-store.ts';
import type { Connection } from './connection.ts';

interface PlanLine {
  id: string;
  name: string;
  note: string;
  revision: number;
  rulesRevision: number;
  createdAt: string;
  changedAt: string;
  rules: string;
  madeAt: string | null;
  madeOfRules: number;
  madeFrom: string;
}

const SELECT = `SELECT id, name, note, revision, rulesRevision, createdAt, changedAt, rules, madeAt, madeOfRules, madeFrom
  FROM closurePlan`;
/** An edit that comes later than so many others is told of the newest. */
const REVISIONS_KEPT = 200;
/** Cancelled events that a plan remembers, newest first: a calendar that asks once a week still learns of them. */
const CANCELLED_KEPT = 2000;

function planOf({ madeAt, madeOfRules, madeFrom, rules, ...plan }: PlanLine): StoredClosurePlan {
  const schedule = madeAt === null ? null : { madeAt, rulesRevision: madeOfRules, madeFrom };
  return { ...plan, rules: JSON.parse(rules), schedule };
}

export const listClosurePlans = (connection: Connection): StoredClosurePlan[] =>
  connection.all<PlanLine>(`${SELECT} ORDER BY row`).map(planOf);

export function findClosurePlan(connection: Connection, id: string): StoredClosurePlan | null {
  const line = connection.get<PlanLine>(`${SELECT} WHERE id = ?`, id);
  return line ? planOf(line) : null;
}

export function addClosurePlan(
  connection: Connection,
  { id, name, note, rules, createdAt }: Parameters<ClosureStore['addClosurePlan']>[0],
): StoredClosurePlan {
  connection.run(
    `INSERT INTO closurePlan (id, name, note, revision, rulesRevision, createdAt, changedAt, rules)
     VALUES (?, ?, ?, 1, 1, ?, ?, ?)`,
    ...[id, name, note, createdAt, createdAt, JSON.stringify(rules)],
  );
  return known(findClosurePlan(connection, id));
}

/** Over a connection on which a write transaction has begun. */
export function changeClosurePlan(
  connection: Connection,
  id: string,
  { revision, edit, changedAt }: { revision: number | null; edit: ClosurePlanEdit; changedAt: string },
): ClosurePlanChange {
  return underRevision(connection, id, revision, (plan) => {
    const fields = changedFields(plan, edit);
    if (fields.length === 0) return;
    const next = { ...plan, ...edit };
    const revisionNow = plan.revision + 1;
    const rulesChanged = fields.some((field) => field.startsWith('rules'));
    connection.run(
      'UPDATE closurePlan SET name = ?, note = ?, rules = ?, rulesRevision = ? WHERE id = ?',
      ...[next.name, next.note, JSON.stringify(next.rules), rulesChanged ? revisionNow : plan.rulesRevision, id],
    );
    const sentence = `Changed ${fields.join(', ')}.`;
    noteChange(connection, plan, { sentence, closureId: null, changedAt });
  });
}

/** Over a connection on which a write transaction has begun. */
export const removeClosurePlan = (connection: Connection, id: string, revision: number | null): ClosurePlanChange => {
  const plan = findClosurePlan(connection, id);
  const stale = plan && staleness(connection, plan, revision);
  if (!plan || stale) return stale ?? { kind: 'missing' };
  connection.run('DELETE FROM closurePlan WHERE id = ?', id);
  return { kind: 'done', plan };
};

export function readSchedule(connection: Connection, planId: string): StoredSchedule | null {
  return connection.snapshot(() => {
    const plan = findClosurePlan(connection, planId);
    const line = connection.get<{ schedule: string | null }>('SELECT schedule FROM closurePlan WHERE id = ?', planId);
    if (!plan?.schedule || !line?.schedule) return null;
    const closures = connection.all<{ cancelled: number; changedAt: string; closure: string }>(
      `SELECT c.cancelled, c.changedAt, c.closure FROM closure c JOIN closurePlan p ON p.row = c.planRow
       WHERE p.id = ? ORDER BY c.startsAt, c.facilityId, c.uid`,
      planId,
    );
    return {
      ...plan.schedule,
      head: JSON.parse(line.schedule),
      closures: closures.map(({ cancelled, changedAt, closure }) => ({
        ...{ closure: JSON.parse(closure), cancelled: cancelled === 1, changedAt },
      })),
    };
  });
}

/** Over a connection on which a write transaction has begun. */
export function writeSchedule(
  connection: Connection,
  planId: string,
  { revision, schedule, note }: { revision: number | null; schedule: StoredSchedule; note: ChangeNote },
): ClosurePlanChange {
  return underRevision(connection, planId, revision, (plan) => {
    connection.run(
      'UPDATE closurePlan SET madeAt = ?, madeOfRules = ?, madeFrom = ?, schedule = ? WHERE id = ?',
      ...[schedule.madeAt, schedule.rulesRevision, schedule.madeFrom, JSON.stringify(schedule.head), planId],
    );
    connection.run('DELETE FROM closure WHERE planRow = (SELECT row FROM closurePlan WHERE id = ?)', planId);
    for (const closure of schedule.closures) putClosure(connection, planId, closure);
    connection.run(
      `DELETE FROM closure WHERE cancelled = 1 AND uid IN (SELECT uid FROM closure WHERE cancelled = 1
         AND planRow = (SELECT row FROM closurePlan WHERE id = ?) ORDER BY changedAt DESC, uid LIMIT -1 OFFSET ?)`,
      ...[planId, CANCELLED_KEPT],
    );
    noteChange(connection, plan, note);
  });
}

/** Over a connection on which a write transaction has begun. */
export function writeClosures(
  connection: Connection,
  planId: string,
  change: {
    revision: number | null;
    closures: readonly StoredClosure[];
    note: ChangeNote;
    head: ScheduleHead | null;
  },
): ClosurePlanChange {
  return underRevision(connection, planId, change.revision, (plan) => {
    for (const closure of change.closures) putClosure(connection, planId, closure);
    if (change.head)
      connection.run('UPDATE closurePlan SET schedule = ? WHERE id = ?', JSON.stringify(change.head), planId);
    noteChange(connection, plan, change.note);
  });
}

function putClosure(connection: Connection, planId: string, { closure, cancelled, changedAt }: StoredClosure): void {
  connection.run(
    'INSERT OR REPLACE INTO closure SELECT row, ?, ?, ?, ?, ?, ? FROM closurePlan WHERE id = ?',
    ...[closure.uid, closure.startsAt, closure.facilityId, Number(cancelled), changedAt],
    ...[JSON.stringify(closure), planId],
  );
}

function underRevision(
  connection: Connection,
  id: string,
  revision: number | null,
  change: (plan: StoredClosurePlan) => void,
): ClosurePlanChange {
  const plan = findClosurePlan(connection, id);
  if (!plan) return { kind: 'missing' };
  const stale = staleness(connection, plan, revision);
  if (stale) return stale;
  change(plan);
  return { kind: 'done', plan: known(findClosurePlan(connection, id)) };
}

function staleness(connection: Connection, plan: StoredClosurePlan, revision: number | null): ClosurePlanChange | null {
  if (revision === null || revision === plan.revision) return null;
  const since = connection.all<ClosureChange>(
    `SELECT c.revision, c.changedAt, c.sentence, c.closureId FROM closurePlanChange c
     JOIN closurePlan p ON p.row = c.planRow WHERE p.id = ? AND c.revision > ? ORDER BY c.revision`,
    ...[plan.id, revision],
  );
  return { kind: 'stale', plan, since };
}

function noteChange(connection: Connection, { id, revision }: StoredClosurePlan, note: ChangeNote): void {
  const next = revision + 1;
  connection.run('UPDATE closurePlan SET revision = ?, changedAt = ? WHERE id = ?', ...[next, note.changedAt, id]);
  connection.run(
    'INSERT INTO closurePlanChange SELECT row, ?, ?, ?, ? FROM closurePlan WHERE id = ?',
    ...[next, note.changedAt, note.sentence, note.closureId, id],
  );
  connection.run(
    'DELETE FROM closurePlanChange WHERE revision <= ? AND planRow = (SELECT row FROM closurePlan WHERE id = ?)',
    ...[next - REVISIONS_KEPT, id],
  );
}

/** Names of what an edit would change; each rule by itself. */
function changedFields(plan: StoredClosurePlan, { rules, ...edit }: ClosurePlanEdit): string[] {
  const names = (Object.keys(edit) as (keyof typeof edit)[]).filter((name) => edit[name] !== plan[name]);
  if (!rules) return names;
  const parts = Object.keys(rules) as (keyof typeof rules)[];
  const changed = parts.filter((name) => JSON.stringify(rules[name]) !== JSON.stringify(plan.rules[name]));
  return [...names, ...changed.map((name) => `rules.${name}`)];
}

function known(plan: StoredClosurePlan | null): StoredClosurePlan {
  if (!plan) throw new Error('A plan just written is not there.');
  return plan;
}
