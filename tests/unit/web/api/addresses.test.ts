import { afterEach, describe, expect, test, vi } from 'vitest';
import { budgetCsvUrl } from '../../../../web/api/budget.ts';
import { refusedCsvUrl } from '../../../../web/api/loads.ts';
import { nullWhenMissing } from '../../../../web/api/missing.ts';
import { fetchModel, startForecast } from '../../../../web/api/model.ts';
import { ApiProblem } from '../../../../web/api/request.ts';
import { editScenario, fetchProgramChanges, programFileUrl } from '../../../../web/api/scenarios.ts';

const problem = (status: number) =>
  Promise.reject(new ApiProblem({ title: 'No', status, detail: 'None yet', errors: undefined }));

afterEach(() => vi.unstubAllGlobals());

describe('what is asked of the server', () => {
  test('nothing there yet reads as null; any other refusal is thrown on', async () => {
    await expect(nullWhenMissing(problem(404))).resolves.toBeNull();
    await expect(nullWhenMissing(problem(500))).rejects.toThrow('None yet');
    await expect(nullWhenMissing(Promise.resolve(7))).resolves.toBe(7);
  });

  test('keys with a slash or a blank stay one part of the address', () => {
    expect(refusedCsvUrl('a/b', 'c d')).toBe('/api/loads/a%2Fb/refused/c%20d');
    expect(budgetCsvUrl('us')).toBe('/api/export/budget.csv?units=us');
  });

  test('a fit without a family sends an empty object, which the settings then fill', async () => {
    const sent: [string, RequestInit | undefined][] = [];
    vi.stubGlobal('fetch', (address: string, init?: RequestInit) => {
      sent.push([address, init]);
      return Promise.resolve(new Response('{}', { status: 202 }));
    });
    await startForecast();
    await startForecast('lognormal');
    expect(sent.map(([address, init]) => [address, init?.method, init?.body])).toEqual([
      ['/api/forecasts', 'POST', '{}'],
      ['/api/forecasts', 'POST', '{"family":"lognormal"}'],
    ]);
  });

  test('before the first fit there is no model, and that is no error', async () => {
    const answer = { type: 'no-forecast', title: 'No forecast', status: 404, detail: 'Load records first' };
    vi.stubGlobal('fetch', () => Promise.resolve(new Response(JSON.stringify(answer), { status: 404 })));
    await expect(fetchModel()).resolves.toBeNull();
  });

  test('a change of a scenario says which revision it was made from', async () => {
    const sent: [string, RequestInit | undefined][] = [];
    vi.stubGlobal('fetch', (address: string, init?: RequestInit) => {
      sent.push([address, init]);
      return Promise.resolve(new Response('{}'));
    });
    await editScenario({ id: 'a b', revision: 7 }, { locked: true });
    await fetchProgramChanges('old', 'new');
    expect(sent[0][0]).toBe('/api/scenarios/a%20b');
    expect(sent[0][1]).toMatchObject({ method: 'PATCH', headers: { 'if-match': '"7"' }, body: '{"locked":true}' });
    expect(sent[1][0]).toBe('/api/scenarios/new/changes?from=old');
    expect(programFileUrl('a b', 'work-csv', 'us')).toBe('/api/export/program/a%20b-work.csv?units=us');
  });
});
