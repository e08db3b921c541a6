import { ProblemError } from '../problems.ts';

/** A revision as an entity tag. */
export const revisionTag = (revision: number): string => `"${revision}"`;

/**
 * The revision that a change is meant for (RFC 9110, section 13.1.1; RFC 6585, section 3).
 * @returns null for `*`, any revision
 * @throws ProblemError where the header is missing or no revision
 */
export function revisionOf(ifMatch: string | undefined): number | null {
  if (ifMatch === undefined)
    throw new ProblemError(
      'revision-needed',
      'If-Match is missing; expected the revision that you read, in quotes, e.g. If-Match: "3". Two people may be changing the same thing.',
      [{ field: 'header.If-Match', found: 'missing', expected: 'a revision in quotes' }],
    );
  const tag = ifMatch.trim();
  if (tag === '*') return null;
  const revision = /^"([1-9][0-9]{0,8})"$/.exec(tag)?.[1];
  if (revision !== undefined) return Number(revision);
  const found = ifMatch.slice(0, 80);
  throw new ProblemError('invalid-request', `If-Match is ${found}; expected one revision in quotes, e.g. "3", or *.`, [
    { field: 'header.If-Match', found, expected: 'a revision in quotes' },
  ]);
}
