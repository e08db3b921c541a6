import type { FastifyError, FastifyInstance, FastifyReply } from 'fastify';
import { ProblemError, problem } from './problems.ts';
import type { Problem } from './schemas/common.ts';

/** Answers every error and every unknown address as an RFC 9457 problem; a fault of ours gives no internals away. */
export function answerErrorsAsProblems(app: FastifyInstance): void {
  app.setErrorHandler((error: FastifyError, request, reply) => {
    const answer = asProblem(error);
    if (answer.status >= 500) request.log.error(error);
    return send(reply, answer);
  });
  app.setNotFoundHandler((request, reply) =>
    send(reply, problem('not-found', `${request.method} ${request.url} leads nowhere. All addresses: GET /api/docs`)),
  );
}

const send = (reply: FastifyReply, answer: Problem) =>
  reply
    .code(answer.status)
    .type('application/problem+json')
    .serializer((body: unknown) => JSON.stringify(body))
    .send(answer);

function asProblem(error: FastifyError): Problem {
  if (error instanceof ProblemError) return problem(error.code, error.message, error.errors);
  if (error.validation) return validationProblem(error);
  const status = error.statusCode ?? 500;
  if (status === 413) return problem('too-large', error.message);
  if (status === 415) return problem('wrong-media-type', error.message);
  if (status === 404) return problem('not-found', error.message);
  if (status >= 400 && status < 500) return { ...problem('invalid-request', error.message), status };
  return problem('server-fault', 'Nothing was changed. The log of the server says more.');
}

function validationProblem(error: FastifyError): Problem {
  const errors = (error.validation ?? []).map((fault) => ({
    field: [error.validationContext, fault.instancePath.slice(1).replaceAll('/', '.'), extraName(fault.params)]
      .filter(Boolean)
      .join('.'),
    found: foundText(fault.params),
    expected: `${fault.message ?? 'another value'}${allowedText(fault.params)}`,
  }));
  const detail = errors.map((e) => `${e.field}: expected ${e.expected}`).join('; ');
  return problem('invalid-request', detail || error.message, errors);
}

type Params = Record<string, unknown>;
const extraName = (params: Params) => params.additionalProperty ?? params.missingProperty ?? '';
const foundText = (params: Params) => ('additionalProperty' in params ? String(params.additionalProperty) : 'as sent');
const allowedText = (params: Params) =>
  Array.isArray(params.allowedValues) ? ` (${params.allowedValues.join(', ')})` : '';
