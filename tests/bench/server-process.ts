import { spawn } from 'node:child_process';
import { setTimeout as wait } from 'node:timers/promises';
import type { Job } from '../../server/schemas/job.ts';
import { MAIN } from './command.ts';
import { type ProcessUse, processUse } from './process-use.ts';

export interface StepTime {
  readonly step: string;
  readonly seconds: number;
}

export interface JobRun {
  readonly seconds: number;
  readonly cpuSeconds: number;
  /** In the order in which the job told of them; counts in a step's words are left out. */ readonly steps: StepTime[];
}

/** The built server on a free port of the loopback interface, as a process of its own. */
export interface BenchServer {
  readonly address: string;
  use(): ProcessUse;
  get(path: string, headers?: Record<string, string>): Promise<Response>;
  send<T>(method: string, path: string, body?: unknown): Promise<T>;
  /** Waits until a job has ended. @throws Error unless it is done */ finish(jobId: string): Promise<JobRun>;
  /** Waits until no job is left: after a forecast the model is tested on the past, which takes minutes of its own. */
  idle(): Promise<void>;
  stop(): Promise<void>;
}

export async function startServer(dataFolder: string): Promise<BenchServer> {
  const child = spawn(process.execPath, [MAIN, 'serve', '--empty', '--port', '0', '--data', dataFolder], {
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  const pid = child.pid as number;
  const address = await new Promise<string>((resolve, reject) => {
    let text = '';
    child.stdout.on('data', (chunk: Buffer) => {
      text += chunk.toString();
      const found = /Kerfcast is at (\S+)/.exec(text);
      if (found) resolve(found[1]);
    });
    child.once('exit', () => reject(new Error(`the server ended before it served: ${text}`)));
  });
  const use = () => processUse(pid) as ProcessUse;
  const get = (path: string, headers: Record<string, string> = {}) => fetch(address + path, { headers });
  return {
    address,
    use,
    get,
    send: (method, path, body) => send(address, { method, path, body }),
    finish: (jobId) => followJob(get, jobId, use),
    idle: async () => {
      const busy = ({ state }: Job) => state === 'queued' || state === 'running';
      // What the server begins by itself it begins soon after it serves.
      await wait(5000);
      while (((await (await get('/api/jobs')).json()) as Job[]).some(busy)) await wait(1000);
    },
    stop: async () => {
      const gone = new Promise((resolve) => child.once('exit', resolve));
      child.kill('SIGTERM');
      await gone;
    },
  };
}

async function send<T>(address: string, call: { method: string; path: string; body?: unknown }): Promise<T> {
  const bytes = call.body instanceof Uint8Array;
  const response = await fetch(address + call.path, {
    method: call.method,
    ...(call.body !== undefined && {
      headers: { 'content-type': bytes ? 'application/octet-stream' : 'application/json' },
      body: bytes ? (call.body as Uint8Array<ArrayBuffer>) : JSON.stringify(call.body),
    }),
  });
  if (!response.ok) throw new Error(`${call.path} answered ${response.status}: ${await response.text()}`);
  return (await response.json()) as T;
}

/** "Checking seals.csv: 400 rows" is one step, whatever its count. */
const stepName = (step: string) => step.replace(/:.*$/, '');

async function followJob(get: BenchServer['get'], jobId: string, use: () => ProcessUse): Promise<JobRun> {
  const [began, cpuBefore] = [performance.now(), use().cpuSeconds];
  const steps: { step: string; seconds: number }[] = [];
  let job: Job | null = null;
  let at = began;
  for await (const next of eventsOf(await get(`/api/jobs/${jobId}/events`))) {
    const now = performance.now();
    const running = steps.at(-1);
    if (running) running.seconds += (now - at) / 1000;
    if (running?.step !== stepName(next.step)) steps.push({ step: stepName(next.step), seconds: 0 });
    [at, job] = [now, next];
  }
  if (job?.state !== 'done') throw new Error(`job ${jobId} ${job?.state}: ${job?.error}`);
  return { seconds: (performance.now() - began) / 1000, cpuSeconds: use().cpuSeconds - cpuBefore, steps };
}

async function* eventsOf(response: Response): AsyncGenerator<Job> {
  const decoder = new TextDecoder();
  let text = '';
  for await (const chunk of response.body as ReadableStream<Uint8Array>) {
    text += decoder.decode(chunk, { stream: true });
    const events = text.split('\n\n');
    text = events.pop() ?? '';
    const told = events.filter((event) => event.includes('data: '));
    for (const event of told) yield JSON.parse(event.slice(event.indexOf('data: ') + 6)) as Job;
  }
}
