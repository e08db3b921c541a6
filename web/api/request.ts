import type { Problem } from '../../server/schemas/common.ts';

export const API_ROOT = '/api';

/** Values that a query parameter may have; null, undefined and '' are left out. */
export type Query = Readonly<Record<string, string | number | boolean | null | undefined>>;

/** A refusal of the server (RFC 9457), or no answer at all (`status` 0). `message` is fit to be shown. */
export class ApiProblem extends Error {
  readonly status: number;
  readonly title: string;
  readonly errors: NonNullable<Problem['errors']>;
  /** The refusal as it was sent, with what a route adds to it. */ readonly sent: object;
  constructor(problem: Pick<Problem, 'title' | 'status' | 'detail' | 'errors'>) {
    super(problem.detail || problem.title);
    this.name = 'ApiProblem';
    this.status = problem.status;
    this.title = problem.title;
    this.errors = problem.errors ?? [];
    this.sent = problem;
  }
}

/** The address of an API resource, with its query in a stable order so that equal views are equal addresses. */
export function apiUrl(path: string, query: Query = {}): string {
  const pairs = Object.entries(query)
    .filter(([, value]) => value !== undefined && value !== null && value !== '')
    .map(([name, value]): [string, string] => [name, String(value)])
    .sort(([a], [b]) => (a < b ? -1 : 1));
  const text = new URLSearchParams(pairs).toString();
  return `${API_ROOT}${path}${text === '' ? '' : `?${text}`}`;
}

export interface Ask {
  readonly method?: 'GET' | 'POST' | 'PUT' | 'PATCH' | 'DELETE';
  readonly query?: Query;
  /** Sent as JSON; undefined sends no body. */ readonly body?: unknown;
  /** Revision that the change was made from: the server refuses it (412) where there is a newer one. */
  readonly ifMatch?: number;
  readonly signal?: AbortSignal;
}

/**
 * Asks the server and reads its JSON. An answer without content (204) reads as undefined.
 * @throws ApiProblem when the server refuses, is not there, or answers something that is not JSON
 */
export async function requestJson<T>(path: string, ask: Ask = {}): Promise<T> {
  const response = await send(path, ask);
  if (!response.ok) throw new ApiProblem(await readProblem(response));
  if (response.status === 204) return undefined as T;
  try {
    return (await response.json()) as T;
  } catch {
    throw new ApiProblem({ title: 'Unreadable answer', status: response.status, detail: `${path} gave no JSON.` });
  }
}

async function send(path: string, { method = 'GET', query, body, ifMatch, signal }: Ask): Promise<Response> {
  const headers: Record<string, string> = { accept: 'application/json' };
  if (ifMatch !== undefined) headers['if-match'] = `"${ifMatch}"`;
  if (body !== undefined) headers['content-type'] = 'application/json';
  try {
    const json = body === undefined ? undefined : JSON.stringify(body);
    return await fetch(apiUrl(path, query), { method, headers, body: json, signal });
  } catch (cause) {
    if (signal?.aborted) throw cause;
    throw new ApiProblem({
      title: 'No answer from the server',
      status: 0,
      detail: 'The Kerfcast server did not answer. Is it still running? Start it with npm start, then try again.',
    });
  }
}

async function readProblem(response: Response): Promise<Pick<Problem, 'title' | 'status' | 'detail' | 'errors'>> {
  const fallback = {
    title: response.statusText || 'Refused',
    status: response.status,
    detail: `The server answered ${response.status}.`,
  };
  try {
    const body: unknown = await response.json();
    return typeof body === 'object' && body !== null ? { ...fallback, ...body } : fallback;
  } catch {
    return fallback;
  }
}

/** Words for the reader about any failure. */
export const describeError = (error: unknown): string => (error instanceof Error ? error.message : String(error));
