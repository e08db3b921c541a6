import { randomUUID } from 'node:crypto';
import type { PackingProgress } from '../../analytics/closures/pack-closures.ts';
import { packClosures } from '../../analytics/closures/pack-closures.ts';
import { TaskCancelled, type TaskContext } from '../jobs/task.ts';
import { tellFaults } from '../programs/check-scenario.ts';
import type { Schedule } from '../schemas/closures.ts';
import type { StoredClosurePlan, StoredSchedule } from '../store/closure-store.ts';
import { checkClosureRules } from './check-closure-rules.ts';
import { unitIdOf } from './closing-unit.ts';
import { closureConflicts } from './closure-conflicts.ts';
import { type ClosureDraft, closureDocument, documentGround } from './closure-document.ts';
import { type ClosureGround, isFixed, readClosureGround } from './closure-problem.ts';
import { withIdentities } from './event-identity.ts';
import { fittingChanges } from './fitting-changes.ts';
import { type ChanceEffort, scheduleChances } from './schedule-chances.ts';
import { percentWords, scheduleHead } from './schedule-head.ts';
import { readMadeFrom } from './stored-plan.ts';

const AT = { read: 0, pack: 0.2, change: 0.8, chance: 0.85, write: 0.95 } as const;
/** Others may go on editing meanwhile; after so many times somebody must look. */
const MOST_TRIES = 3;

/**
 * Makes the schedule of a plan around what is locked, done or lost, and writes it in one transaction. Cancelled while it
 * packs, it keeps the best schedule so far; earlier, or asked again, it keeps nothing. Where somebody changes the plan
 * meanwhile, it is made again from what the plan is then, so that no change is lost.
 * @returns what came of it, in words
 */
export async function schedulePlan(planId: string, context: TaskContext): Promise<string> {
  const { closures } = context.store;
  for (let tries = 1; ; tries++) {
    const plan = await closures.findClosurePlan(planId);
    if (!plan) throw new Error(`No closure plan ${planId}`);
    const { stored, sentence } = await madeSchedule(plan, context);
    context.progress(AT.write, 'Writing the schedule');
    const note = { sentence: `Scheduled: ${sentence}`, closureId: null, changedAt: stored.madeAt };
    const change = await closures.writeSchedule(planId, plan.revision, stored, note);
    if (change.kind === 'done') return sentence;
    if (change.kind === 'missing') throw new Error('The plan was deleted meanwhile; its schedule was not kept.');
    if (tries === MOST_TRIES || context.cancelled())
      throw new Error(`${plan.name} was changed while it was scheduled, ${tries} times. Schedule it again.`);
    context.progress(AT.read, 'Somebody changed the plan: scheduling again');
  }
}

async function madeSchedule(
  plan: StoredClosurePlan,
  context: TaskContext,
): Promise<{ readonly stored: StoredSchedule; readonly sentence: string }> {
  const { store } = context;
  context.progress(AT.read, 'Reading work, windows and weather');
  const faults = await checkClosureRules(store, plan.rules);
  if (faults.length > 0) throw new Error(tellFaults(faults, 'rules').detail);
  const scenario = await store.findScenario(plan.rules.scenarioId);
  const { madeFrom, planningDate } = await readMadeFrom(store, plan.rules, context.today);
  const before = (await store.closures.readSchedule(plan.id))?.closures ?? [];
  const settled = before.filter(({ cancelled }) => !cancelled).map(({ closure }) => closure);
  const ground = await readClosureGround(store, plan.rules, { planningDate, before: settled });
  if (context.cancelled()) throw new TaskCancelled();
  const stopped = keepingStop(context);
  const packed = await packClosures(ground.problem, {
    onProgress: (progress) => tellPacking(progress, context),
    cancelled: stopped,
  });
  const changes = fittingChanges(ground, packed, (share) => {
    context.progress(AT.change + (AT.chance - AT.change) * share, 'Looking for what would make the rest fit');
    return stopped();
  });
  const at = documentGround(ground);
  const made = packed.closures.map((closure) => closureDocument(closure, at));
  const kept = settled.filter((closure) => isFixed(closure) || closure.state === 'lost');
  const all = [...kept, ...made].sort(byTime);
  const chances = scheduleChances(all, { ...ground, windows: ground.problem.windows }, chanceEffort(context, stopped));
  const reckoned = all.map((closure) => ({ ...closure, ...chances.byClosure.get(closure.id) }));
  const drafts = withConflicts(reckoned, { ground, planningDate });
  const madeAt = new Date().toISOString();
  const head = scheduleHead({
    ...{
      plan,
      ground,
      packed,
      changes,
      chances: chances.all,
      closures: drafts,
      scenarioName: scenario?.name ?? '',
      planningDate,
      madeAt,
    },
  });
  const identified = withIdentities(before, drafts, { changedAt: madeAt, newUid: () => `${randomUUID()}@kerfcast` });
  return {
    stored: { madeAt, rulesRevision: plan.rulesRevision, madeFrom, head, closures: identified },
    sentence: head.sentence,
  };
}

const byTime = (a: ClosureDraft, b: ClosureDraft): number =>
  a.startsAt.localeCompare(b.startsAt) || unitIdOf(a).localeCompare(unitIdOf(b));

function tellPacking({ stage, spentShare, placedShare, costGapShare }: PackingProgress, context: TaskContext): void {
  const doing = { 'first-schedule': 'Placing work', improving: 'Improving', proving: 'Proving' }[stage];
  const bound = costGapShare === null ? '' : `, at most ${percentWords(costGapShare)} above the least cost`;
  const share = AT.pack + (AT.change - AT.pack) * Math.min(1, spentShare);
  context.progress(share, `${doing}: ${percentWords(placedShare)} of the work placed${bound}`);
}

/** Whether somebody asked to stop: from then on the best so far is finished and kept, unless they ask again. */
function keepingStop(context: TaskContext): () => boolean {
  let heard = false;
  return () => {
    if (!context.cancelled()) return heard;
    if (heard) throw new TaskCancelled();
    context.keep();
    heard = true;
    return true;
  };
}

/** Draws where somebody has stopped the work and waits for what there is. */
const FEW_DRAWS = 200;

function chanceEffort(context: TaskContext, stopped: () => boolean): ChanceEffort {
  const before = stopped();
  return {
    ...(before ? { draws: FEW_DRAWS } : {}),
    stop: (share) => {
      context.progress(AT.chance + (AT.write - AT.chance) * share, 'Drawing pace and weather');
      return stopped() && !before;
    },
  };
}

/** What was locked or moved by hand tells which rules it breaks beside the new closures. */
function withConflicts(
  drafts: readonly ClosureDraft[],
  { ground, planningDate }: { ground: ClosureGround; planningDate: string },
): ClosureDraft[] {
  const others = drafts.map((draft) => ({ ...draft, uid: '', sequence: 0 })) as Schedule['closures'];
  return drafts.map((draft) => {
    const unit = ground.units.get(unitIdOf(draft));
    if (!unit || !(draft.locked || draft.byHand) || draft.state !== 'planned') return { ...draft, conflicts: [] };
    const windows = ground.problem.windows.filter(({ facilityId }) => facilityId === unit.id);
    const closure = { ...draft, uid: '', sequence: 0 };
    return {
      ...draft,
      conflicts: closureConflicts(closure, {
        rules: ground.rules,
        facility: unit.facility,
        planningDate,
        windows,
        others,
      }),
    };
  });
}
