import type { FastifyError, FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import { type ProblemCode, ProblemError, problem } from './problems.ts';
import type { Problem } from './schemas/common.ts';
import { StoreError, type StoreFault } from './store/errors.ts';
import { validationProblem } from './validation-problem.ts';

/** Answers every error and every unknown address as an RFC 9457 problem; a fault of ours gives no internals away. */
export function answerErrorsAsProblems(app: FastifyInstance): void {
  app.setErrorHandler((error: FastifyError, request, reply) => answerAsProblem(error, request, reply));
  app.setNotFoundHandler((request, reply) =>
    send(reply, problem('not-found', `${request.method} ${request.url} leads nowhere. All addresses: GET /api/docs`)),
  );
}

export function answerAsProblem(error: FastifyError, request: FastifyRequest, reply: FastifyReply) {
  const answer = asProblem(error);
  if (answer.status >= 500) request.log.error(error);
  return send(reply, answer);
}

const send = (reply: FastifyReply, answer: Problem) =>
  reply
    .code(answer.status)
    .type('application/problem+json')
    .serializer((body: unknown) => JSON.stringify(body))
    .send(answer);

/** Faults of the store that the one who asked can mend; the others are ours. */
const STORE_PROBLEMS: Partial<Record<StoreFault, ProblemCode>> = {
  'page-token': 'invalid-request',
  busy: 'conflict',
  reference: 'conflict',
  gone: 'conflict',
};

function asProblem(error: FastifyError): Problem {
  const storeCode = error instanceof StoreError ? STORE_PROBLEMS[error.fault] : undefined;
  if (storeCode) return problem(storeCode, error.message);
  if (error instanceof ProblemError) return problem(error.code, error.message, error.errors);
  if (error.validation) return validationProblem(error.validation, error.validationContext ?? 'request');
  const status = error.statusCode ?? 500;
  if (status === 413) return problem('too-large', error.message);
  if (status === 415) return problem('wrong-media-type', error.message);
  if (status === 404) return problem('not-found', error.message);
  if (status >= 400 && status < 500) return { ...problem('invalid-request', error.message), status };
  return problem('server-fault', 'Nothing was changed. The log of the server says more.');
}
