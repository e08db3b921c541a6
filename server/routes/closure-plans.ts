import { randomUUID } from 'node:crypto';
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox';
import type { FastifyReply } from 'fastify';
import { Type } from 'typebox';
import { checkClosureRules } from '../closures/check-closure-rules.ts';
import { closureDefaults } from '../closures/closure-defaults.ts';
import { closureProduction } from '../closures/closure-production.ts';
import { foundPlan, planAnswer, readMadeFrom } from '../closures/stored-plan.ts';
import { ProblemError, problem } from '../problems.ts';
import { tellFaults } from '../programs/check-scenario.ts';
import type { ClosureRules } from '../schemas/closure-rules.ts';
import {
  ClosureDefaultsSchema,
  ClosurePlanEditSchema,
  ClosurePlanListSchema,
  ClosurePlanSchema,
  ClosureProductionSchema,
  ClosureRulesBodySchema,
  NewClosurePlanSchema,
  StalePlanSchema,
} from '../schemas/closures.ts';
import { EmptySchema, ProblemSchema } from '../schemas/common.ts';
import type { ClosurePlanChange, StoredClosurePlan } from '../store/closure-store.ts';
import type { Store } from '../store/store.ts';
import { revisionOf, revisionTag } from './if-match.ts';
import { todayIso } from './scenarios.ts';

export const PlanParams = Type.Object({ id: Type.String({ maxLength: 64 }) });
/** Rules may name every facility of an agency and thousands of segments. */
const RULES_LIMIT_BYTES = 20 * 2 ** 20;
const MOST_PLANS = 200;
export const refusals = {
  400: ProblemSchema,
  404: ProblemSchema,
  409: ProblemSchema,
  412: StalePlanSchema,
  428: ProblemSchema,
};
const DefaultsQuerySchema = Type.Object(
  {
    scenario: Type.Optional(Type.String({ maxLength: 64, description: 'Left out: the newest with a program' })),
    year: Type.Optional(Type.Integer({ minimum: 1900, maximum: 2300, description: 'Left out: the first with work' })),
  },
  { additionalProperties: false },
);

/** How an agency's facilities close: plans made, read, changed under a revision, deleted. */
export const closurePlanRoutes =
  (store: Store): FastifyPluginAsyncTypebox =>
  async (app) => {
    app.get('/closure-plans', { schema: { response: { 200: ClosurePlanListSchema } } }, async () => {
      const plans = await store.closures.listClosurePlans();
      return { plans: await Promise.all(plans.map((plan) => answerOf(store, plan))) };
    });
    app.get(
      '/closure-plans/defaults',
      {
        schema: {
          querystring: DefaultsQuerySchema,
          response: { 200: ClosureDefaultsSchema, 400: ProblemSchema, 404: ProblemSchema, 422: ProblemSchema },
        },
      },
      async ({ query }) => closureDefaults(store, { scenarioId: query.scenario, year: query.year }),
    );
    app.post(
      '/closure-plans/production',
      {
        bodyLimit: RULES_LIMIT_BYTES,
        schema: { body: ClosureRulesBodySchema, response: { 200: ClosureProductionSchema, 400: ProblemSchema } },
      },
      async ({ body }) => {
        await refuseFaults(store, body.rules);
        return closureProduction(store, body.rules);
      },
    );
    app.post(
      '/closure-plans',
      {
        bodyLimit: RULES_LIMIT_BYTES,
        schema: {
          body: NewClosurePlanSchema,
          response: { 201: ClosurePlanSchema, 400: ProblemSchema, 409: ProblemSchema, 422: ProblemSchema },
        },
      },
      async ({ body }, reply) => {
        const { length } = await store.closures.listClosurePlans();
        if (length >= MOST_PLANS)
          throw new ProblemError(
            'conflict',
            `There are ${length} closure plans, the most there can be. Delete some first.`,
          );
        if (body.rules) await refuseFaults(store, body.rules);
        const rules = body.rules ?? (await closureDefaults(store, {})).rules;
        const made = { id: randomUUID(), name: body.name, note: body.note ?? '', rules };
        const plan = await store.closures.addClosurePlan({ ...made, createdAt: new Date().toISOString() });
        return reply
          .code(201)
          .header('etag', revisionTag(plan.revision))
          .send(await answerOf(store, plan));
      },
    );
    app.get(
      '/closure-plans/:id',
      { schema: { params: PlanParams, response: { 200: ClosurePlanSchema, 404: ProblemSchema } } },
      async ({ params }, reply) => {
        const plan = await foundPlan(store, params.id);
        reply.header('etag', revisionTag(plan.revision));
        return answerOf(store, plan);
      },
    );
    app.patch(
      '/closure-plans/:id',
      {
        bodyLimit: RULES_LIMIT_BYTES,
        schema: { params: PlanParams, body: ClosurePlanEditSchema, response: { 200: ClosurePlanSchema, ...refusals } },
      },
      async ({ params, body, headers }, reply) => {
        const revision = revisionOf(headers['if-match']);
        const plan = await foundPlan(store, params.id);
        if (revision !== null && revision !== plan.revision) {
          // Who comes second is told of the first before being told what is wrong with the own rules.
          const change = await store.closures.changeClosurePlan(plan.id, revision, {}, plan.changedAt);
          if (change.kind === 'stale') return sendStale(reply, change);
        }
        if (body.rules) await refuseFaults(store, body.rules);
        const at = new Date().toISOString();
        const change = await store.closures.changeClosurePlan(plan.id, revision, body, at);
        if (change.kind === 'stale') return sendStale(reply, change);
        const changed = changedPlan(params.id, change);
        reply.header('etag', revisionTag(changed.revision));
        return answerOf(store, changed);
      },
    );
    app.delete(
      '/closure-plans/:id',
      { schema: { params: PlanParams, response: { 204: EmptySchema, ...refusals } } },
      async ({ params, headers }, reply) => {
        const change = await store.closures.removeClosurePlan(params.id, optionalRevision(headers['if-match']));
        if (change.kind === 'stale') return sendStale(reply, change);
        changedPlan(params.id, change);
        return reply.code(204).send();
      },
    );
  };

/** Deleting may be asked for without a revision. */
const optionalRevision = (ifMatch: string | undefined): number | null =>
  ifMatch === undefined ? null : revisionOf(ifMatch);

export async function answerOf(store: Store, plan: StoredClosurePlan) {
  const { madeFrom } = await readMadeFrom(store, plan.rules, todayIso());
  return planAnswer(plan, madeFrom);
}

async function refuseFaults(store: Store, rules: ClosureRules): Promise<void> {
  const faults = await checkClosureRules(store, rules);
  if (faults.length === 0) return;
  const { detail, errors } = tellFaults(faults, 'body.rules');
  throw new ProblemError('invalid-request', detail, errors);
}

/** @throws ProblemError where there is no such plan */
export function changedPlan(id: string, change: Exclude<ClosurePlanChange, { kind: 'stale' }>): StoredClosurePlan {
  if (change.kind === 'missing')
    throw new ProblemError('not-found', `No closure plan ${id}. List: GET /api/closure-plans`);
  return change.plan;
}

/** Tells the second of two editors what the first one did; nothing is changed. */
export function sendStale(reply: FastifyReply, { plan, since }: Extract<ClosurePlanChange, { kind: 'stale' }>) {
  const told = since.map(({ sentence }) => sentence).join(' ');
  const what = told === '' ? 'The revision that you named is not one of its own.' : told;
  const detail = `${plan.name} is now at revision ${plan.revision}. ${what} Look at it, then send your change with If-Match: "${plan.revision}".`;
  return reply
    .code(412)
    .type('application/problem+json')
    .serializer((body: unknown) => JSON.stringify(body))
    .send({ ...problem('stale', detail), revision: plan.revision, changes: [...since] });
}
