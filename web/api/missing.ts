import { ApiProblem } from './request.ts';

/** The answer, or null where the server says that there is none yet (404). Every other refusal is thrown on. */
export async function nullWhenMissing<T>(answer: Promise<T>): Promise<T | null> {
  try {
    return await answer;
  } catch (error) {
    if (error instanceof ApiProblem && error.status === 404) return null;
    throw error;
  }
}
