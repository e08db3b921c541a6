import { afterEach, describe, expect, test, vi } from 'vitest';
import { ApiProblem, apiUrl, requestJson } from '../../../../web/api/request.ts';
import { exportUrl } from '../../../../web/api/segments.ts';
import { tileUrl } from '../../../../web/api/summary.ts';

afterEach(() => vi.unstubAllGlobals());

const answerWith = (answer: Response | Error) => {
  const asked = vi.fn(async () => {
    if (answer instanceof Error) throw answer;
    return answer;
  });
  vi.stubGlobal('fetch', asked);
  return asked;
};

describe('addresses', () => {
  test('equal questions are equal addresses, whatever their order; nothing is sent for what is not asked', () => {
    expect(apiUrl('/summary', { b: 2, a: 'x y', none: null, empty: '', off: undefined, no: false })).toBe(
      '/api/summary?a=x+y&b=2&no=false',
    );
    expect(apiUrl('/summary')).toBe('/api/summary');
  });

  test('tiles keep their template braces, and change with the view version', () => {
    expect(tileUrl('http://127.0.0.1:1', { district: 'North & West' }, '4.3')).toBe(
      'http://127.0.0.1:1/api/tiles/{z}/{x}/{y}.mvt?district=North+%26+West&v=4.3',
    );
  });

  test('an export says its units', () => {
    expect(exportUrl('csv', { search: 'ramp' }, 'us')).toBe('/api/export/segments.csv?search=ramp&units=us');
  });
});

describe('answers', () => {
  test('JSON is read; no content is undefined', async () => {
    answerWith(Response.json({ a: 1 }));
    expect(await requestJson('/x')).toEqual({ a: 1 });
    answerWith(new Response(null, { status: 204 }));
    expect(await requestJson('/x')).toBeUndefined();
  });

  test('a body is sent as JSON and says so', async () => {
    const asked = answerWith(Response.json(null));
    await requestJson('/x', { method: 'PUT', body: [1] });
    expect(asked).toHaveBeenCalledWith(
      '/api/x',
      expect.objectContaining({
        method: 'PUT',
        body: '[1]',
        headers: { accept: 'application/json', 'content-type': 'application/json' },
      }),
    );
  });

  test('a problem answer becomes an error with the server’s words and fields', async () => {
    const errors = [{ field: 'family', found: 'gamma', expected: 'weibull' }];
    answerWith(
      Response.json(
        { type: 'x', title: 'Not allowed', status: 400, detail: 'family is gamma', errors },
        { status: 400 },
      ),
    );
    const refused = await requestJson('/x').catch((error: unknown) => error);
    expect(refused).toBeInstanceOf(ApiProblem);
    expect(refused).toMatchObject({ status: 400, title: 'Not allowed', message: 'family is gamma', errors });
  });

  test('a refusal without JSON still says what happened', async () => {
    answerWith(new Response('<html>', { status: 502, statusText: 'Bad Gateway' }));
    await expect(requestJson('/x')).rejects.toMatchObject({ status: 502, message: 'The server answered 502.' });
  });

  test('no server at all says how to start it; a cancelled question stays a cancellation', async () => {
    answerWith(new TypeError('failed to fetch'));
    await expect(requestJson('/x')).rejects.toThrow(/npm start/);
    const gone = new AbortController();
    gone.abort();
    await expect(requestJson('/x', { signal: gone.signal })).rejects.not.toBeInstanceOf(ApiProblem);
  });
});
