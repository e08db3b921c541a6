import type { TaskContext } from '../jobs/task.ts';

export async function makeEvidence(_context: TaskContext): Promise<void> {}
