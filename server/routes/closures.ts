import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox';
import { Type } from 'typebox';
import { checkClosureRules } from '../closures/check-closure-rules.ts';
import { wholeUnit } from '../closures/closing-unit.ts';
import { dateConflicts } from '../closures/closure-conflicts.ts';
import { dryDays } from '../closures/closure-problem.ts';
import {
  type ClosureInHand,
  closureAt,
  conflictsOf,
  editedClosure,
  readClosureInHand,
  unitWindows,
  windowAnswer,
} from '../closures/edit-closure.ts';
import { PlanWeather } from '../closures/plan-weather.ts';
import { refreshedHead } from '../closures/refresh-head.ts';
import { foundPlan, foundSchedule, readMadeFrom, scheduleAnswer } from '../closures/stored-plan.ts';
import type { JobRunner } from '../jobs/job-runner.ts';
import { ProblemError } from '../problems.ts';
import { tellFaults } from '../programs/check-scenario.ts';
import { requireProgram } from '../programs/stored-program.ts';
import {
  ClosureConflictsSchema,
  ClosureEditedSchema,
  ClosureEditSchema,
  ClosureMoveSchema,
  ClosureWindowsSchema,
  ScheduleSchema,
} from '../schemas/closures.ts';
import { KeySchema, ProblemSchema } from '../schemas/common.ts';
import { JobSchema } from '../schemas/job.ts';
import { DirectionSchema } from '../schemas/words.ts';
import type { StoredClosurePlan } from '../store/closure-store.ts';
import type { Store } from '../store/store.ts';
import { answerOf, changedPlan, PlanParams, refusals, sendStale } from './closure-plans.ts';
import { revisionOf, revisionTag } from './if-match.ts';
import { todayIso } from './scenarios.ts';

/** A facility's key and the window, as in a path. */
const ClosureParams = Type.Object({
  ...PlanParams.properties,
  closureId: Type.String({ minLength: 1, maxLength: 200 }),
});
const WindowsQuerySchema = Type.Object(
  {
    facility: KeySchema,
    direction: Type.Optional({ ...DirectionSchema, description: 'Windows for it alone; left out: those of any' }),
  },
  { additionalProperties: false },
);

/** The dated closures of a plan: read, moved, locked, marked as done or lost. */
export const closureRoutes =
  (store: Store, jobs: JobRunner): FastifyPluginAsyncTypebox =>
  async (app) => {
    const inHand = async (id: string, closureId: string): Promise<ClosureInHand> => {
      const plan = await foundPlan(store, id);
      const { planningDate } = await readMadeFrom(store, plan.rules, todayIso());
      return readClosureInHand(store, plan, { closureId, planningDate });
    };
    app.get(
      '/closure-plans/:id/schedule',
      { schema: { params: PlanParams, response: { 200: ScheduleSchema, 404: ProblemSchema } } },
      async ({ params }, reply) => {
        const { plan, schedule } = await foundSchedule(store, params.id);
        reply.header('etag', revisionTag(plan.revision));
        return scheduleAnswer(plan, schedule);
      },
    );
    app.post(
      '/closure-plans/:id/schedule',
      {
        schema: {
          params: PlanParams,
          response: { 202: JobSchema, 404: ProblemSchema, 422: ProblemSchema },
        },
      },
      async ({ params }, reply) => {
        const plan = await foundPlan(store, params.id);
        await refuseUnschedulable(store, plan);
        const input = { kind: 'closures', planId: plan.id } as const;
        const job = { kind: 'closures', title: `Closures of ${plan.name}`, loadId: null, planId: plan.id } as const;
        return reply.code(202).send(await jobs.start({ ...job, input }));
      },
    );
    app.patch(
      '/closure-plans/:id/closures/:closureId',
      {
        schema: { params: ClosureParams, body: ClosureEditSchema, response: { 200: ClosureEditedSchema, ...refusals } },
      },
      async ({ params, body, headers }, reply) => {
        const revision = revisionOf(headers['if-match']);
        const current = await foundPlan(store, params.id);
        // A closure that another editor moved has another name by now: told as a change, not as a missing closure.
        if (revision !== null && revision !== current.revision) {
          const change = await store.closures.writeClosures(params.id, revision, [], NOTHING);
          if (change.kind === 'stale') return sendStale(reply, change);
        }
        const hand = await inHand(params.id, params.closureId);
        const changedAt = new Date().toISOString();
        const edited = editedClosure(hand, body, changedAt);
        const { stored, others, sentence } = edited;
        const head = await refreshedHead(store, hand, edited);
        const note = { sentence, closureId: stored.closure.id, changedAt };
        // Under the revision that was read here: what the conflicts were told from.
        const change = await store.closures.writeClosures(
          ...([params.id, hand.plan.revision, [stored, ...others], note, head] as const),
        );
        if (change.kind === 'stale') return sendStale(reply, change);
        const plan = changedPlan(params.id, change);
        reply.header('etag', revisionTag(plan.revision));
        return {
          plan: await answerOf(store, plan),
          closure: stored.closure,
          others: others.map(({ closure }) => closure),
        };
      },
    );
    app.post(
      '/closure-plans/:id/closures/:closureId/check',
      {
        schema: {
          params: ClosureParams,
          body: ClosureMoveSchema,
          response: { 200: ClosureConflictsSchema, 400: ProblemSchema, 404: ProblemSchema },
        },
      },
      async ({ params, body }) => {
        const hand = await inHand(params.id, params.closureId);
        return { conflicts: conflictsOf(closureAt(hand, body.startsAt), hand) };
      },
    );
    app.get(
      '/closure-plans/:id/windows',
      {
        schema: {
          params: PlanParams,
          querystring: WindowsQuerySchema,
          response: { 200: ClosureWindowsSchema, 400: ProblemSchema, 404: ProblemSchema },
        },
      },
      async ({ params, query }) => {
        const plan = await foundPlan(store, params.id);
        const facility = (await store.listFacilities()).find(({ id }) => id === query.facility);
        if (!facility) throw new ProblemError('not-found', `No facility ${query.facility}. List: GET /api/facilities`);
        const { planningDate } = await readMadeFrom(store, plan.rules, todayIso());
        const unit = { ...wholeUnit(facility), direction: query.direction ?? null };
        const weather = await PlanWeather.read(store, [facility.id], dryDays(plan.rules));
        const windows = unitWindows(plan.rules, unit, null, weather);
        const ground = { rules: plan.rules, facility, planningDate };
        return windowAnswer(windows, (window) => dateConflicts(window, ground)[0]?.sentence ?? null);
      },
    );
  };

async function refuseUnschedulable(store: Store, { rules }: StoredClosurePlan): Promise<void> {
  const faults = await checkClosureRules(store, rules);
  if (faults.length > 0) {
    const { detail, errors } = tellFaults(faults, 'rules');
    throw new ProblemError('not-suitable', `The records have changed since the rules were written: ${detail}`, errors);
  }
  await requireProgram(store, rules.scenarioId);
}

const NOTHING = { sentence: '', closureId: null, changedAt: '' };
