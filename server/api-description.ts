import swagger from '@fastify/swagger';
import swaggerUi from '@fastify/swagger-ui';
import type { FastifyInstance } from 'fastify';
import { PROBLEMS } from './problems.ts';
import { APP_VERSION } from './routes/version.ts';

/** Collects the schemas of all routes registered after it into one OpenAPI document. */
export async function describeApi(app: FastifyInstance): Promise<void> {
  await app.register(swagger, {
    openapi: {
      openapi: '3.1.0',
      info: { title: 'Kerfcast', version: APP_VERSION, description: DESCRIPTION },
    },
    transformObject: (document) => ('openapiObject' in document ? withProblemType(document.openapiObject) : {}),
  });
}

/** The document as a page, under the headers of every other page: no script of its own, no outside address. */
export async function showApi(api: FastifyInstance, prefix: string): Promise<void> {
  await api.register(swaggerUi, { routePrefix: '/docs', indexPrefix: prefix, uiConfig: { validatorUrl: null } });
}

interface Answers {
  readonly responses?: Record<string, { description?: string; content?: Record<string, object> }>;
}

/** Refusals leave as application/problem+json, which the schemas of the routes do not say. */
function withProblemType<D extends { paths?: object }>(document: D): D {
  const operations = Object.values(document.paths ?? {}).flatMap((path) => Object.values(path) as Answers[]);
  for (const { responses = {} } of operations) {
    for (const [status, answer] of Object.entries(responses)) {
      const [schema] = Object.values(answer.content ?? {});
      if (!status.startsWith('4') || !schema) continue;
      answer.content = { 'application/problem+json': schema };
      answer.description = 'Refused: a problem answer';
    }
  }
  return document;
}

const codes = Object.entries(PROBLEMS).map(([code, { status, title }]) => `| \`${code}\` | ${status} | ${title} |`);

const DESCRIPTION = [
  'Sealed joints: records, forecast, budget, map tiles.',
  '',
  'Every refusal is a problem answer (RFC 9457, `application/problem+json`). Its `type` ends in one of these codes,',
  'its `detail` says what was found, what is allowed and the next step, and `errors` names each field to change.',
  '',
  '| code | status | meaning |',
  '| --- | --- | --- |',
  ...codes,
].join('\n');
