import { expect, test } from 'vitest';
import { readProgramReport } from '../../../../server/programs/stored-program.ts';
import type { Store } from '../../../../server/store/store.ts';

test('a program that an older version kept in another form is refused with the way to make it again', async () => {
  const store = { readProgram: async () => ({ report: { totals: 'as they were' } }) } as unknown as Store;
  await expect(readProgramReport(store, 's1')).rejects.toMatchObject({
    code: 'no-program',
    message: expect.stringContaining('POST /api/scenarios/s1/program makes it again'),
  });
});
