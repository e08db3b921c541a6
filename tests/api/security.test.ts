import { mkdir, mkdtemp, rm, writeFile } from 'node:fs/promises';
import { connect } from 'node:net';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { LOOPBACK } from './load-over-http.ts';
import { startApp, type TestApp } from './start-app.ts';

const SECRET = 'nobody but us';
let folder: string;
let server: TestApp;
let port: number;

beforeAll(async () => {
  folder = await mkdtemp(path.join(tmpdir(), 'kerfcast-web-'));
  await mkdir(path.join(folder, 'web', 'assets'), { recursive: true });
  await mkdir(path.join(folder, 'web-beside'));
  await writeFile(path.join(folder, 'secret.txt'), SECRET);
  await writeFile(path.join(folder, 'web-beside', 'secret.txt'), SECRET);
  await writeFile(path.join(folder, 'web', 'index.html'), '<!doctype html><title>page</title>');
  await writeFile(path.join(folder, 'web', 'assets', 'app.js'), 'export {};');
  server = await startApp({ webFolder: path.join(folder, 'web') });
  await writeFile(path.join(server.dataFolder, 'secret.txt'), SECRET);
  await server.app.listen({ host: '127.0.0.1', port: 0 });
  port = (server.app.server.address() as { port: number }).port;
});
afterAll(async () => {
  server.app.server.closeAllConnections();
  await server.close();
  await rm(folder, { recursive: true, force: true });
});

const policyOf = (header: unknown): Map<string, string[]> =>
  new Map(
    String(header)
      .split(';')
      .map((directive) => directive.trim().split(/\s+/))
      .map(([name, ...sources]) => [name, sources]),
  );

describe('content security policy', () => {
  test.each(['/', '/map', '/joints', '/assets/app.js', '/api/version', '/api/docs', '/api/docs/', '/nowhere'])(
    '%s allows scripts of this server alone, none inline, none from text',
    async (url) => {
      const { headers } = await server.app.inject({ url, headers: LOOPBACK });
      const policy = policyOf(headers['content-security-policy']);
      expect(policy.get('script-src')).toEqual(["'self'"]);
      expect(policy.get('default-src')).toEqual(["'self'"]);
      expect(policy.get('object-src')).toEqual(["'none'"]);
      expect(policy.get('frame-ancestors')).toEqual(["'none'"]);
      expect(headers['x-content-type-options']).toBe('nosniff');
    },
  );

  test('pages hold no inline script, and the API page finds its files', async () => {
    const { body } = await server.app.inject({ url: '/api/docs', headers: LOOPBACK });
    const addresses = [...body.matchAll(/(?:src|href)="([^"]+)"/g)].map(([, address]) => address);
    expect(addresses.length).toBeGreaterThan(4);
    for (const url of addresses) {
      expect((await server.app.inject({ url, headers: LOOPBACK })).statusCode).toBe(200);
    }
    expect(body).not.toMatch(/<script(?![^>]*\ssrc=)/);
  });

  test('a base map adds its own host for pictures, and nothing for scripts', async () => {
    const settings = (await server.app.inject({ url: '/api/settings', headers: LOOPBACK })).json();
    const put = (baseMapUrl: string | null) =>
      server.app.inject({
        method: 'PUT',
        url: '/api/settings',
        headers: LOOPBACK,
        payload: { ...settings, baseMapUrl },
      });
    expect((await put('https://tiles.example:8443/a/{z}/{x}/{y}.png')).statusCode).toBe(200);
    const { headers } = await server.app.inject({ url: '/', headers: LOOPBACK });
    const policy = policyOf(headers['content-security-policy']);
    expect(policy.get('img-src')).toContain('https://tiles.example:8443');
    expect(policy.get('script-src')).toEqual(["'self'"]);
    await put(null);
  });
});

test.each([
  'javascript:alert(1)//{z}/{x}/{y}',
  'data:image/png,{z}{x}{y}',
  'file:///etc/{z}/{x}/{y}',
  '//other.example/{z}/{x}/{y}',
  '/\\other.example/{z}/{x}/{y}',
  "https://a.example;script-src'unsafe-inline'/{z}/{x}/{y}",
  'https://a.example,b/{z}/{x}/{y}',
  'https://{z}.example/{x}/{y}',
  'https:///{z}/{x}/{y}',
  'https://a.example/{z}/{x}',
  'https://a b.example/{z}/{x}/{y}',
  'https://*/{z}/{x}/{y}',
])('base map %s is refused, and every page is served as before', async (baseMapUrl) => {
  const settings = (await server.app.inject({ url: '/api/settings', headers: LOOPBACK })).json();
  const answer = await server.app.inject({
    method: 'PUT',
    url: '/api/settings',
    headers: LOOPBACK,
    payload: { ...settings, baseMapUrl },
  });
  expect(answer.statusCode).toBe(400);
  expect(answer.json().errors[0]).toMatchObject({ field: 'body.baseMapUrl', found: baseMapUrl });
  expect((await server.app.inject({ url: '/', headers: LOOPBACK })).statusCode).toBe(200);
});

describe('other origins', () => {
  test.each(['evil.example', 'evil.example:8080', '127.0.0.1.evil.example', 'localhost.evil.example', '0.0.0.0'])(
    'a page whose host name %j is pointed here is refused (DNS rebinding)',
    async (host) => {
      for (const url of ['/', '/api/version', '/api/tiles/0/0/0.mvt', '/api/docs/json']) {
        const answer = await server.app.inject({ url, headers: { host } });
        expect([url, answer.statusCode]).toEqual([url, 403]);
        expect(answer.json().type).toBe('/api/docs#wrong-origin');
      }
    },
  );

  test.each(['127.0.0.1', '127.0.0.1:8080', 'localhost:5173', 'LOCALHOST', '[::1]:8080'])(
    'host %s is this computer',
    async (host) => {
      expect((await server.app.inject({ url: '/api/version', headers: { host } })).statusCode).toBe(200);
    },
  );

  test.each(['https://evil.example', 'http://127.0.0.1:9999', 'http://localhost', 'null', 'https://127.0.0.1'])(
    'a write from a page of %s is refused, whatever its address',
    async (origin) => {
      for (const method of ['POST', 'PUT', 'DELETE', 'PATCH'] as const) {
        for (const url of ['/api/settings', '/api/forecasts', '/api/loads/x', '/api/uploads?name=a', '/nowhere']) {
          const answer = await server.app.inject({ method, url, headers: { ...LOOPBACK, origin }, payload: {} });
          expect([method, url, answer.statusCode]).toEqual([method, url, 403]);
        }
      }
    },
  );

  test('a write from our own page is taken', async () => {
    const answer = await server.app.inject({
      method: 'POST',
      url: '/api/loads/none/commit',
      headers: { host: '127.0.0.1:8080', origin: 'http://127.0.0.1:8080' },
    });
    expect(answer.statusCode).toBe(404);
  });

  test('no answer lets another origin read it', async () => {
    const { headers } = await server.app.inject({
      url: '/api/segments',
      headers: { ...LOOPBACK, origin: 'https://evil.example' },
    });
    expect(headers['access-control-allow-origin']).toBeUndefined();
    expect(headers['cross-origin-resource-policy']).toBe('same-origin');
  });
});

/** The answer to a request line sent as it stands: a client library would tidy the path first. */
const raw = (target: string): Promise<string> =>
  new Promise((resolve, reject) => {
    const socket = connect(port, '127.0.0.1');
    let text = '';
    socket.setEncoding('utf8');
    socket.on('data', (chunk) => {
      text += chunk;
    });
    socket.on('end', () => resolve(text));
    socket.on('error', reject);
    socket.write(`GET ${target} HTTP/1.1\r\nHost: 127.0.0.1:${port}\r\nConnection: close\r\n\r\n`);
  });

describe('paths', () => {
  const UP = ['..', '%2e%2e', '%2E.', '.%2e', '..%00', '%252e%252e', '..%5c', '%c0%ae%c0%ae', '....//', '..;'];
  const targets = UP.flatMap((up) => [
    `/${up}/secret.txt`,
    `/assets/${up}/${up}/secret.txt`,
    `/assets/${up}%2f${up}%2fsecret.txt`,
    `/${up}%5csecret.txt`,
    `/${up}/web-beside/secret.txt`,
    `/api/docs/static/${up}/${up}/${up}/${up}/package.json`,
    `/api/loads/${up}/refused/${up}%2fsecret.txt`,
    `/api/loads/x/refused/${up}%2f${up}%2fsecret.txt`,
  ]);

  test.each([
    ...targets,
    `//secret.txt`,
    `/${'../'.repeat(40)}etc/passwd`,
    `/%2fetc%2fpasswd`,
    'http://127.0.0.1/../secret.txt',
    '/assets/',
    '/assets',
    '/index.html/../../secret.txt',
    '/assets/app.js%00.txt',
    '/assets/app.js/../../../secret.txt',
  ])('%s stays inside', async (target) => {
    const answer = await raw(target);
    expect(answer).toMatch(/^HTTP\/1\.1 (4\d\d|30[128]) /);
    for (const inside of [SECRET, 'root:', '"devDependencies"', folder, server.dataFolder]) {
      expect(answer).not.toContain(inside);
    }
  });

  test('what is inside is served', async () => {
    expect(await raw('/assets/app.js')).toContain('export {};');
    expect(await raw('/service-life')).toContain('<title>page</title>');
  });
});
