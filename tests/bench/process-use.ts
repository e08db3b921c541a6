import { readFileSync } from 'node:fs';

/** What a process has used so far. Linux only: elsewhere all are NaN. */
export interface ProcessUse {
  /** Processor seconds of all its threads, the system's work for it included. */ readonly cpuSeconds: number;
  readonly rssMb: number;
  /** Most memory it ever held. */ readonly peakRssMb: number;
}

const NOTHING: ProcessUse = { cpuSeconds: Number.NaN, rssMb: Number.NaN, peakRssMb: Number.NaN };
/** Clock ticks a second in /proc, the same on every Linux that Node runs on. */
const TICKS_PER_SECOND = 100;

/** @returns null once the process is gone */
export function processUse(pid: number): ProcessUse | null {
  if (process.platform !== 'linux') return NOTHING;
  try {
    const status = readFileSync(`/proc/${pid}/status`, 'utf8');
    const stat = readFileSync(`/proc/${pid}/stat`, 'utf8');
    const megabytes = (name: string) => Number(new RegExp(`${name}:\\s+(\\d+) kB`).exec(status)?.[1]) / 1024;
    // The name in parentheses may hold spaces; user and system time are fields 14 and 15 of the line.
    const fields = stat.slice(stat.lastIndexOf(')') + 2).split(' ');
    if (fields[0] === 'Z') return null;
    return {
      cpuSeconds: (Number(fields[11]) + Number(fields[12])) / TICKS_PER_SECOND,
      rssMb: megabytes('VmRSS'),
      peakRssMb: megabytes('VmHWM'),
    };
  } catch {
    return null;
  }
}
