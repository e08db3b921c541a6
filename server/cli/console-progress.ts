import type { TaskContext } from '../jobs/task.ts';

/** Progress of long work on a terminal: one line that moves; in a log, a line for each new step. */
export function consoleProgress(
  stream: NodeJS.WriteStream = process.stderr,
): TaskContext['progress'] & { done(): void } {
  let last = '';
  const show = (share: number, step: string) => {
    const percent = `${Math.floor(Math.min(1, Math.max(0, share)) * 100)} %`.padStart(5);
    if (stream.isTTY) stream.write(`\r\u001b[K  ${percent}  ${step}`);
    else if (step !== last) stream.write(`  ${step}\n`);
    last = step;
  };
  return Object.assign(show, {
    done: () => {
      if (stream.isTTY && last) stream.write('\r\u001b[K');
      last = '';
    },
  });
}
