import { inject } from 'vitest';

/** Test files run side by side, and some change what they look at: each worker has an agency of its own. */
const places = inject('addresses');
export const address = places[(Number(process.env.VITEST_POOL_ID ?? 1) - 1) % places.length];
