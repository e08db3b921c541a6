import { vi } from 'vitest';
import { runCommandLine } from '../../../../server/cli/command-line.ts';

export interface Finished {
  readonly code: number;
  /** Standard output. */ readonly out: string;
  /** Standard error. */ readonly err: string;
}

/** Runs one command line in this process and keeps what it prints. */
export async function run(...args: string[]): Promise<Finished> {
  const printed = { out: '', err: '' };
  const keep = (stream: 'out' | 'err') => (text: unknown) => {
    printed[stream] += String(text);
    return true;
  };
  const keepLine =
    (stream: 'out' | 'err') =>
    (...words: unknown[]) => {
      printed[stream] += `${words.join(' ')}\n`;
    };
  const spies = [
    vi.spyOn(process.stdout, 'write').mockImplementation(keep('out')),
    vi.spyOn(process.stderr, 'write').mockImplementation(keep('err')),
    vi.spyOn(console, 'log').mockImplementation(keepLine('out')),
    vi.spyOn(console, 'error').mockImplementation(keepLine('err')),
  ];
  try {
    const code = await runCommandLine(args);
    return { code, ...printed };
  } finally {
    for (const spy of spies) spy.mockRestore();
  }
}
