import { randomUUID } from 'node:crypto';
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox';
import type { FastifyReply } from 'fastify';
import { Type } from 'typebox';
import { ProblemError } from '../problems.ts';
import { checkScenario, tellFaults } from '../programs/check-scenario.ts';
import { readPlanningBasis } from '../programs/planning-basis.ts';
import { scenarioAnswer } from '../programs/scenario-answer.ts';
import { scenarioDefaults } from '../programs/scenario-defaults.ts';
import { EmptySchema, ProblemSchema } from '../schemas/common.ts';
import {
  NewScenarioSchema,
  ScenarioCopySchema,
  ScenarioDefaultsSchema,
  ScenarioEditSchema,
  type ScenarioInputs,
  ScenarioListSchema,
  ScenarioSchema,
} from '../schemas/scenario.ts';
import type { ScenarioChange, StoredScenario } from '../store/scenario-store.ts';
import type { Store } from '../store/store.ts';
import { revisionOf, revisionTag } from './if-match.ts';

export const ScenarioParams = Type.Object({ id: Type.String({ maxLength: 64 }) });
/** Commitments, choices and what is held back may name every segment of a network. */
const INPUTS_LIMIT_BYTES = 40 * 2 ** 20;
/** Far more than anybody compares; each keeps a program of many megabytes. */
const MOST_SCENARIOS = 200;
const refusals = { 400: ProblemSchema, 404: ProblemSchema, 409: ProblemSchema, 412: ProblemSchema, 428: ProblemSchema };

export const todayIso = (): string => new Date().toISOString().slice(0, 10);

/** @throws ProblemError when there is no such scenario */
export async function foundScenario(store: Store, id: string): Promise<StoredScenario> {
  const scenario = await store.findScenario(id);
  if (!scenario) throw new ProblemError('not-found', `No scenario ${id}. List: GET /api/scenarios`);
  return scenario;
}

/** What programs are asked: made, copied, changed under a revision, locked, deleted. */
export const scenarioRoutes =
  (store: Store): FastifyPluginAsyncTypebox =>
  async (app) => {
    const basis = () => readPlanningBasis(store, todayIso());
    const answer = async (reply: FastifyReply, scenario: StoredScenario) => {
      reply.header('etag', revisionTag(scenario.revision));
      return scenarioAnswer(scenario, await basis());
    };
    const add = async (name: string, note: string, inputs: ScenarioInputs) => {
      const { length } = await store.listScenarios();
      if (length >= MOST_SCENARIOS)
        throw new ProblemError('conflict', `There are ${length} scenarios, the most there can be. Delete some first.`);
      return store.addScenario({ id: randomUUID(), name, note, inputs, createdAt: new Date().toISOString() });
    };

    app.get('/scenarios', { schema: { response: { 200: ScenarioListSchema } } }, async () => {
      const now = await basis();
      return { scenarios: (await store.listScenarios()).map((scenario) => scenarioAnswer(scenario, now)) };
    });
    app.get('/scenarios/defaults', { schema: { response: { 200: ScenarioDefaultsSchema } } }, async () =>
      scenarioDefaults(store),
    );
    app.post(
      '/scenarios',
      {
        bodyLimit: INPUTS_LIMIT_BYTES,
        schema: { body: NewScenarioSchema, response: { 201: ScenarioSchema, 400: ProblemSchema, 409: ProblemSchema } },
      },
      async ({ body }, reply) => {
        if (body.inputs) await refuseFaults(store, body.inputs);
        const inputs = body.inputs ?? (await scenarioDefaults(store)).inputs;
        return reply.code(201).send(await answer(reply, await add(body.name, body.note ?? '', inputs)));
      },
    );
    app.get(
      '/scenarios/:id',
      { schema: { params: ScenarioParams, response: { 200: ScenarioSchema, 404: ProblemSchema } } },
      async ({ params }, reply) => answer(reply, await foundScenario(store, params.id)),
    );
    app.patch(
      '/scenarios/:id',
      {
        bodyLimit: INPUTS_LIMIT_BYTES,
        schema: { params: ScenarioParams, body: ScenarioEditSchema, response: { 200: ScenarioSchema, ...refusals } },
      },
      async ({ params, body, headers }, reply) => {
        const revision = revisionOf(headers['if-match']);
        await foundScenario(store, params.id);
        if (body.inputs) await refuseFaults(store, body.inputs);
        const changed = await store.changeScenario(params.id, revision, body, new Date().toISOString());
        return answer(reply, done(params.id, changed, 'changed'));
      },
    );
    app.post(
      '/scenarios/:id/copy',
      {
        schema: {
          params: ScenarioParams,
          body: ScenarioCopySchema,
          response: { 201: ScenarioSchema, 400: ProblemSchema, 404: ProblemSchema, 409: ProblemSchema },
        },
      },
      async ({ params, body }, reply) => {
        const { note, inputs } = await foundScenario(store, params.id);
        return reply.code(201).send(await answer(reply, await add(body.name, note, inputs)));
      },
    );
    app.delete(
      '/scenarios/:id',
      { schema: { params: ScenarioParams, response: { 204: EmptySchema, ...refusals } } },
      async ({ params, headers }, reply) => {
        done(params.id, await store.removeScenario(params.id, revisionOf(headers['if-match'])), 'deleted');
        return reply.code(204).send();
      },
    );
  };

async function refuseFaults(store: Store, inputs: ScenarioInputs): Promise<void> {
  const { firstYear } = await readPlanningBasis(store, todayIso());
  const faults = await checkScenario(store, inputs, firstYear);
  if (faults.length === 0) return;
  const { detail, errors } = tellFaults(faults, 'body.inputs');
  throw new ProblemError('invalid-request', detail, errors);
}

/** @throws ProblemError where a change was not made */
function done(id: string, change: ScenarioChange, wish: string): StoredScenario {
  switch (change.kind) {
    case 'done':
      return change.scenario;
    case 'missing':
      throw new ProblemError('not-found', `No scenario ${id}. List: GET /api/scenarios`);
    case 'locked':
      throw new ProblemError(
        'conflict',
        `${change.scenario.name} is locked and cannot be ${wish}. Unlock it first: PATCH {"locked": false}, alone.`,
      );
    case 'stale':
      throw new ProblemError('stale', staleWords(change));
    default:
      return change satisfies never;
  }
}

function staleWords({ scenario, since }: Extract<ScenarioChange, { kind: 'stale' }>): string {
  const told = since.map(
    ({ revision, changedAt, fields }) => `revision ${revision} (${changedAt}) changed ${fields.join(', ')}`,
  );
  const what = told.length > 0 ? told.join('; ') : 'that revision is not one of its own';
  return `${scenario.name} is now at revision ${scenario.revision}: ${what}. Read it again, then send your change with If-Match: "${scenario.revision}".`;
}
