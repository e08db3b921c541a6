import { type ChildProcess, spawn } from 'node:child_process';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { makeDemo } from '../../data-demo/make.ts';
import type { Job } from '../../server/schemas/job.ts';
import type { Load } from '../../server/schemas/load.ts';

const CLI = path.resolve('dist/server/cli/main.js');
let folder: string;

beforeAll(async () => {
  folder = await mkdtemp(path.join(tmpdir(), 'kerfcast-restart-'));
  await makeDemo({ segments: 3000, outDir: path.join(folder, 'files'), seed: 1 });
});
afterAll(() => rm(folder, { recursive: true, force: true }));

async function startServer(data: string): Promise<{ child: ChildProcess; address: string; printed: () => string }> {
  const child = spawn(process.execPath, [CLI, 'serve', '--port', '0', '--data', data], {
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  let text = '';
  const address = await new Promise<string>((resolve, reject) => {
    const read = (chunk: Buffer) => {
      text += chunk.toString();
      const found = /Kerfcast is at (\S+)/.exec(text);
      if (found) resolve(found[1]);
    };
    child.stdout?.on('data', read);
    child.stderr?.on('data', read);
    child.once('exit', () => reject(new Error(`the server ended: ${text}`)));
  });
  return { child, address, printed: () => text };
}

const stopped = (child: ChildProcess, signal: NodeJS.Signals) =>
  new Promise<number | null>((resolve) => {
    child.once('exit', (code) => resolve(code));
    child.kill(signal);
  });

test('a server killed in the middle of a load starts again with no half job, and loads the same files', async () => {
  const data = path.join(folder, 'data');
  const first = await startServer(data);
  const send = async (address: string, name: string): Promise<string> => {
    const { openAsBlob } = await import('node:fs');
    const body = await openAsBlob(path.join(folder, 'files', name));
    const answer = await fetch(`${address}/api/uploads?name=${name}`, {
      method: 'POST',
      body,
      headers: { 'content-type': 'application/octet-stream' },
    });
    return ((await answer.json()) as { id: string }).id;
  };
  const post = async <T>(url: string, body?: object): Promise<T> => {
    const answer = await fetch(url, {
      method: 'POST',
      ...(body ? { body: JSON.stringify(body), headers: { 'content-type': 'application/json' } } : {}),
    });
    return (await answer.json()) as T;
  };
  const get = async <T>(url: string): Promise<T> => (await (await fetch(url)).json()) as T;
  const until = async (address: string, id: string, state: Load['state']): Promise<Load> => {
    for (let i = 0; i < 2000; i++) {
      const load = await get<Load>(`${address}/api/loads/${id}`);
      if (load.state === state) return load;
      if (load.state === 'failed') throw new Error(`load failed: ${load.error}`);
      await new Promise((resolve) => setTimeout(resolve, 50));
    }
    throw new Error(`load ${id} did not become ${state}`);
  };

  const uploads = [];
  for (const name of ['facilities.csv', 'segments.geojson', 'seals.csv']) uploads.push(await send(first.address, name));
  const choices = uploads.map((uploadId) => ({ uploadId }));
  const load = await post<Load>(`${first.address}/api/loads`, { choices });
  await until(first.address, load.id, 'ready');
  const committing = await post<Load>(`${first.address}/api/loads/${load.id}/commit`);
  await stopped(first.child, 'SIGKILL');

  const second = await startServer(data);
  expect(second.printed()).toContain('cut off by the last stop');
  const job = await get<Job>(`${second.address}/api/jobs/${committing.jobId}`);
  expect(job.state).toBe('interrupted');
  expect(job.finishedAt).not.toBeNull();
  expect((await get<{ segments: number }>(`${second.address}/api/records`)).segments).toBe(0);

  const again = await post<Load>(`${second.address}/api/loads`, { choices });
  await until(second.address, again.id, 'ready');
  await post(`${second.address}/api/loads/${again.id}/commit`);
  await until(second.address, again.id, 'done');
  expect((await get<{ segments: number }>(`${second.address}/api/records`)).segments).toBeGreaterThan(2900);
  expect(await stopped(second.child, 'SIGTERM')).toBe(0);
}, 120_000);
