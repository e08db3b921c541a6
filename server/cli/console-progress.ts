import type { TaskContext } from '../jobs/task.ts';

/** Progress of long work on a terminal: one line that moves; in a log, a line for each new step. */
export function consoleProgress(
  stream: NodeJS.WriteStream = process.stderr,
): TaskContext['progress'] & { done(): void } {
  let last = '';
  const show = (share: number, step: string) => {
    const percent = `${Math.floor(Math.min(1, Math.max(0, share)) * 100)} %`.padStart(5);
    if (stream.isTTY) stream.write(`\r\u001b[K  ${percent}  ${step}`);
    else if (subject(step) !== last) stream.write(`  ${subject(step)}\n`);
    last = subject(step);
  };
  return Object.assign(show, {
    done: () => {
      if (stream.isTTY && last) stream.write('\r\u001b[K');
      last = '';
    },
  });
}

/** What a step is about, without its counts: "Checking seals.csv: 400 rows" moves on a terminal and is one line in a log. */
const subject = (step: string): string => step.replace(/:.*$/, '');
