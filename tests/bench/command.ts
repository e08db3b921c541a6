import { spawn } from 'node:child_process';
import { type ProcessUse, processUse } from './process-use.ts';

export const MAIN = 'dist/server/cli/main.js';
const LOOK_EVERY_MS = 20;

export interface CommandRun extends ProcessUse {
  readonly seconds: number;
  readonly output: string;
}

/** Runs the built command line once and watches what it uses. @throws Error unless its exit code is among `codes` */
export async function runCommand(args: readonly string[], codes: readonly number[] = [0]): Promise<CommandRun> {
  const began = performance.now();
  const child = spawn(process.execPath, [MAIN, ...args], { stdio: ['ignore', 'pipe', 'pipe'] });
  let use: ProcessUse = { cpuSeconds: 0, rssMb: 0, peakRssMb: 0 };
  const look = setInterval(() => {
    use = processUse(child.pid as number) ?? use;
  }, LOOK_EVERY_MS);
  let output = '';
  let errors = '';
  child.stdout.on('data', (chunk: Buffer) => {
    output += chunk.toString();
  });
  child.stderr.on('data', (chunk: Buffer) => {
    errors += chunk.toString();
  });
  const code = await new Promise<number | null>((resolve) => child.once('close', resolve));
  clearInterval(look);
  if (code === null || !codes.includes(code)) throw new Error(`kerfcast ${args[0]} ended with ${code}: ${errors}`);
  return { ...use, seconds: (performance.now() - began) / 1000, output };
}
