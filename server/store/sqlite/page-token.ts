import { StoreError } from '../errors.ts';

/** Where a page ended: the last line's value of the sorted field, and its row to tell equal values apart. */
export interface PagePlace {
  value: string | number | null;
  row: number;
}

interface Order {
  sort: string;
  descending: boolean;
}

export const writePageToken = ({ sort, descending }: Order, { value, row }: PagePlace): string =>
  Buffer.from(JSON.stringify([sort, descending ? 1 : 0, value, row])).toString('base64url');

/** @throws StoreError `page-token` when the token is not one of this order */
export function readPageToken({ sort, descending }: Order, token: string): PagePlace {
  const refused = new StoreError(
    'page-token',
    'The page mark `after` is not one that this list gave for this order. Start again without it.',
  );
  let parts: unknown;
  try {
    parts = JSON.parse(Buffer.from(token, 'base64url').toString('utf8'));
  } catch {
    throw refused;
  }
  if (!Array.isArray(parts) || parts.length !== 4) throw refused;
  const [tokenSort, tokenDescending, value, row] = parts as unknown[];
  const valueFits = value === null || typeof value === 'string' || typeof value === 'number';
  if (tokenSort !== sort || tokenDescending !== (descending ? 1 : 0)) throw refused;
  if (!valueFits || typeof row !== 'number' || !Number.isSafeInteger(row)) throw refused;
  return { value, row };
}
