import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox';
import type { JobRunner } from '../jobs/job-runner.ts';
import { ProblemError } from '../problems.ts';
import { BudgetSchema } from '../schemas/budget.ts';
import { ProblemSchema } from '../schemas/common.ts';
import { JobSchema } from '../schemas/job.ts';
import type { Store } from '../store/store.ts';

/** What falls due each year, and what it costs. */
export const budgetRoutes =
  (store: Store, jobs: JobRunner): FastifyPluginAsyncTypebox =>
  async (app) => {
    app.get('/budget', { schema: { response: { 200: BudgetSchema, 404: ProblemSchema } } }, async () => {
      const budget = await store.readBudget();
      if (!budget) throw new ProblemError('no-forecast', 'Load records, then POST /api/forecasts.');
      return budget as never; // the response schema decides what leaves
    });
    app.post('/budget/recompute', { schema: { response: { 202: JobSchema } } }, async (_request, reply) =>
      reply.code(202).send(
        await jobs.start({
          kind: 'budget',
          title: 'Budget with the new prices',
          loadId: null,
        }),
      ),
    );
  };
