import type { FileChoice, Load, Upload } from '../../server/schemas/load.ts';
import type { TestApp } from './start-app.ts';

export const LOOPBACK = { host: '127.0.0.1' };

/** Sends one file as a browser does. */
export async function upload({ app }: TestApp, name: string, content: string | Buffer) {
  return app.inject({
    method: 'POST',
    url: `/api/uploads?name=${encodeURIComponent(name)}`,
    headers: { ...LOOPBACK, 'content-type': 'application/octet-stream' },
    payload: content,
  });
}

/** Sends files and waits for the preview. */
export async function preview(
  test: TestApp,
  files: Readonly<Record<string, string>>,
  choice: Partial<FileChoice> = {},
): Promise<Load> {
  const choices: FileChoice[] = [];
  for (const [name, content] of Object.entries(files)) {
    const sent: Upload = (await upload(test, name, content)).json();
    choices.push({ ...choice, uploadId: sent.id });
  }
  const started = await test.app.inject({ method: 'POST', url: '/api/loads', headers: LOOPBACK, payload: { choices } });
  if (started.statusCode !== 202) throw new Error(`preview answered ${started.statusCode}: ${started.body}`);
  return ended(test, started.json());
}

/** Loads files whole: upload, preview, commit. */
export async function load(test: TestApp, files: Readonly<Record<string, string>>): Promise<Load> {
  return commit(test, await preview(test, files));
}

/** Loads what was previewed. */
export async function commit(test: TestApp, ready: Load): Promise<Load> {
  const started = await test.app.inject({ method: 'POST', url: `/api/loads/${ready.id}/commit`, headers: LOOPBACK });
  if (started.statusCode !== 202) throw new Error(`commit answered ${started.statusCode}: ${started.body}`);
  return ended(test, started.json());
}

async function ended(test: TestApp, load: Load): Promise<Load> {
  await test.jobs.ended(load.jobId ?? '');
  return (await test.app.inject({ url: `/api/loads/${load.id}`, headers: LOOPBACK })).json();
}

/** Fits and forecasts what is loaded. */
export async function forecast(test: TestApp): Promise<void> {
  const job = await test.app.inject({ method: 'POST', url: '/api/forecasts', headers: LOOPBACK, payload: {} });
  const { state, error } = await test.jobs.ended(job.json().id);
  if (state !== 'done') throw new Error(`forecast ${state}: ${error}`);
}
