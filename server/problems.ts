import type { Problem } from './schemas/common.ts';

/** Every kind of refusal that the API answers with, by code. A test checks that each is used and none is missing. */
export const PROBLEMS = {
  'invalid-request': {
    status: 400,
    title: 'Something in the request is not as it must be',
  },
  'wrong-origin': {
    status: 403,
    title: 'Requests are taken from this computer only',
  },
  'not-found': { status: 404, title: 'There is nothing at this address' },
  'no-forecast': { status: 404, title: 'No forecast has been made yet' },
  'no-evidence': { status: 404, title: 'No model has been tested against its records yet' },
  'no-program': { status: 404, title: 'No program has been made of this scenario yet' },
  'no-schedule': { status: 404, title: 'No schedule has been made of this closure plan yet' },
  conflict: { status: 409, title: 'That cannot be done in its present state' },
  stale: { status: 412, title: 'It was changed since you read it' },
  'revision-needed': { status: 428, title: 'Say which revision you are changing' },
  'too-large': {
    status: 413,
    title: 'The file or body is larger than the limit',
  },
  'not-suitable': {
    status: 422,
    title: 'What is recorded speaks against that',
  },
  'wrong-media-type': {
    status: 415,
    title: 'This kind of body is not read here',
  },
  'server-fault': {
    status: 500,
    title: 'The server made a mistake; it has been logged',
  },
} as const;
export type ProblemCode = keyof typeof PROBLEMS;

/** Thrown anywhere under a route: answered as an RFC 9457 problem. */
export class ProblemError extends Error {
  readonly code: ProblemCode;
  readonly errors: Problem['errors'];

  /** @param detail what was found, what is allowed, and the next step */
  constructor(code: ProblemCode, detail: string, errors?: Problem['errors']) {
    super(detail);
    this.name = 'ProblemError';
    this.code = code;
    this.errors = errors;
  }
}

export function problem(code: ProblemCode, detail: string, errors?: Problem['errors']): Problem {
  const { status, title } = PROBLEMS[code];
  return {
    type: `/api/docs#${code}`,
    title,
    status,
    detail,
    ...(errors ? { errors } : {}),
  };
}
