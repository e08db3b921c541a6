import { inject } from 'vitest';
import { copyDemoStore, demoStore } from './demo-store.ts';
import { LOOPBACK } from './load-over-http.ts';
import { startApp, type TestApp } from './start-app.ts';

export { quietly } from './demo-store.ts';

/** The server with a small demo agency loaded and forecast, always the same one, for the caller to change as it likes. */
export async function startDemo(segments = 300): Promise<TestApp> {
  const made = await demoStore(inject('runFolder'), segments);
  return startApp({ fill: (dataFolder) => copyDemoStore(made, dataFolder) });
}

/** GET as this computer would, with the answer's JSON. */
export async function getJson<T>({ app }: TestApp, url: string): Promise<T> {
  const answer = await app.inject({ url, headers: LOOPBACK });
  if (answer.statusCode !== 200) throw new Error(`${url} answered ${answer.statusCode}: ${answer.body}`);
  return answer.json();
}

export const queryOf = (members: Readonly<Record<string, string | number | boolean | undefined>>): string =>
  new URLSearchParams(
    Object.entries(members).flatMap(([name, value]) => (value === undefined ? [] : [[name, String(value)]])),
  ).toString();
