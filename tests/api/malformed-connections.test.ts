import { readdir } from 'node:fs/promises';
import { connect } from 'node:net';
import path from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { startApp, type TestApp } from './start-app.ts';

let server: TestApp;
let port: number;
beforeAll(async () => {
  server = await startApp({ maxUploadBytes: 50_000 });
  await server.app.listen({ host: '127.0.0.1', port: 0 });
  port = (server.app.server.address() as { port: number }).port;
});
afterAll(async () => {
  server.app.server.closeAllConnections();
  await server.close();
});

/** Sends bytes as they are and hangs up. @returns what came back before the end */
const say = (bytes: string | Buffer, hangUp = false): Promise<string> =>
  new Promise((resolve) => {
    const socket = connect(port, '127.0.0.1');
    let answer = '';
    socket.on('data', (chunk) => {
      answer += chunk.toString('latin1');
    });
    socket.on('error', () => resolve(answer));
    socket.on('close', () => resolve(answer));
    socket.write(bytes, () => (hangUp ? socket.destroy() : socket.end()));
  });

const lives = () => fetch(`http://127.0.0.1:${port}/api/version`).then(({ status }) => status);
const HOST = 'Host: 127.0.0.1\r\n';
const upload = (headers: string) => `POST /api/uploads?name=a.csv HTTP/1.1\r\n${HOST}${headers}\r\n`;
const OCTETS = 'Content-Type: application/octet-stream\r\n';

test.each([
  '\r\n\r\n',
  'hello\r\n\r\n',
  'GET / HTTP/9.9\r\n\r\n',
  'GET /api/version HTTP/1.1\r\n\r\n',
  'GET /api/version HTTP/1.0\r\n\r\n',
  'GET\u0000/api/version HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n',
  `BREW /api/version HTTP/1.1\r\n${HOST}\r\n`,
  `GET /api/version HTTP/1.1\r\n${HOST}${HOST}\r\n`,
  `GET /api/version HTTP/1.1\r\nHost: 127.0.0.1\r\nX: a\u0000b\r\n\r\n`,
  `GET /api/version HTTP/1.1\r\n${HOST}X-Long: ${'x'.repeat(100_000)}\r\n\r\n`,
  `GET /${'a'.repeat(100_000)} HTTP/1.1\r\n${HOST}\r\n`,
  `GET /api/segments?search=\u00ff\u00fe HTTP/1.1\r\n${HOST}\r\n`,
  `GET http://evil.example/api/version HTTP/1.1\r\nHost: evil.example\r\n\r\n`,
  `CONNECT evil.example:443 HTTP/1.1\r\n${HOST}\r\n`,
  `TRACE /api/version HTTP/1.1\r\n${HOST}\r\n`,
  `POST /api/forecasts HTTP/1.1\r\n${HOST}Content-Length: -1\r\n\r\n{}`,
  `POST /api/forecasts HTTP/1.1\r\n${HOST}Content-Length: 2\r\nContent-Length: 20\r\n\r\n{}`,
  `POST /api/forecasts HTTP/1.1\r\n${HOST}Content-Length: 99999999999999999999\r\n\r\n{}`,
  `POST /api/forecasts HTTP/1.1\r\n${HOST}Content-Type: application/json\r\nTransfer-Encoding: chunked\r\n\r\nzz\r\n`,
  `POST /api/forecasts HTTP/1.1\r\n${HOST}Transfer-Encoding: chunked\r\nContent-Length: 4\r\n\r\n0\r\n\r\n`,
  `POST /api/forecasts HTTP/1.1\r\n${HOST}Content-Type: application/json\r\nContent-Length: 100\r\n\r\n{"family":`,
  `PUT /api/settings HTTP/1.1\r\n${HOST}Expect: 200-maybe\r\nContent-Length: 2\r\n\r\n{}`,
])('%j is refused or dropped, and the server goes on', async (bytes) => {
  const answer = await say(bytes);
  expect(answer).not.toMatch(/^HTTP\/1\.1 (5\d\d|202)/);
  expect(await lives()).toBe(200);
});

test('uploads broken off, too long or badly cut leave nothing behind', async () => {
  const broken = [
    `${upload(`${OCTETS}Content-Length: 1000\r\n`)}id,kind\r\n`,
    `${upload(`${OCTETS}Transfer-Encoding: chunked\r\n`)}5\r\nid,ki\r\n`,
    `${upload(`${OCTETS}Transfer-Encoding: chunked\r\n`)}fffffff\r\nid,ki`,
    upload(`${OCTETS}Content-Length: 60000\r\n`) + 'x'.repeat(60_000),
    upload(`${OCTETS}Content-Length: 0\r\n`),
  ];
  for (const bytes of broken) for (const hangUp of [true, false]) await say(bytes, hangUp);
  await expect
    .poll(() => readdir(path.join(server.dataFolder, 'uploads')).catch(() => []), { timeout: 10_000 })
    .toEqual([]);
  expect(await lives()).toBe(200);
});

test('no job was started by any of it', async () => {
  expect(await server.jobs.list(10)).toEqual([]);
});
