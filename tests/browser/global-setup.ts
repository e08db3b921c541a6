import { type ChildProcess, spawn } from 'node:child_process';
import { mkdir, mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import type { TestProject } from 'vitest/node';
import { copyDemoStore, demoStore } from '../api/demo-store.ts';
import { runFolder } from '../run-folder.ts';

declare module 'vitest' {
  interface ProvidedContext {
    /** Where the demo agency is served, and the folder that marks it as taken. */
    agencies: { address: string; mark: string }[];
    /** Where an agency without any record is served. */ emptyAddress: string;
    /** The files that it was loaded from. */ demoFiles: string;
  }
}

const SEGMENTS = 1_200;

/** Serves a small demo agency twice and an empty one, as built, to all browser tests; ends them by their process ids. */
export default async function serveAgencies(project: TestProject): Promise<() => Promise<void>> {
  const folder = await mkdtemp(path.join(tmpdir(), 'kerfcast-browser-'));
  const [demo, other, empty] = ['demo', 'other', 'empty'].map((name) => path.join(folder, name));
  const made = await demoStore(runFolder(), SEGMENTS);
  await Promise.all([mkdir(empty), copyDemoStore(made, demo), copyDemoStore(made, other)]);
  const served = await Promise.all([demo, other, empty].map(serve));
  const [first, second, last] = served.map(({ address }) => address);
  const agencies = [first, second].map((address, k) => ({ address, mark: path.join(folder, `taken-${k}`) }));
  project.provide('agencies', agencies);
  project.provide('emptyAddress', last);
  project.provide('demoFiles', made.files);
  return async () => {
    await Promise.all(served.map(({ server }) => end(server)));
    await rm(folder, { recursive: true, force: true });
  };
}

async function end(server: ChildProcess): Promise<void> {
  const gone = new Promise((resolve) => server.once('exit', resolve));
  server.kill('SIGTERM');
  await gone;
}

async function serve(folder: string): Promise<{ server: ChildProcess; address: string }> {
  const server = spawn(process.execPath, ['dist/server/cli/main.js', 'serve', '--port', '0', '--data', folder], {
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  const address = await new Promise<string>((resolve, reject) => {
    let text = '';
    server.stdout?.on('data', (chunk: Buffer) => {
      text += chunk.toString();
      const found = /Kerfcast is at (\S+)/.exec(text);
      if (found) resolve(found[1]);
    });
    server.once('exit', () => reject(new Error(`the server ended before it served: ${text}`)));
  });
  return { server, address };
}
