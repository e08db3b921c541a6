#!/usr/bin/env node
import { runCommandLine } from './command-line.ts';

// A reader such as head may close the pipe early: what it wanted has been written, so that is no fault.
process.stdout.on('error', (error: NodeJS.ErrnoException) => {
  if (error.code === 'EPIPE') process.exit(0);
  throw error;
});

process.exitCode = await runCommandLine(process.argv.slice(2));
