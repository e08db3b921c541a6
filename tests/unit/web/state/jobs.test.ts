import { describe, expect, test } from 'vitest';
import type { Job } from '../../../../server/schemas/job.ts';
import { activeJobs, changesRecords, describeJob, isActive, mergeJob } from '../../../../web/state/jobs.ts';

const job = (change: Partial<Job>): Job => ({
  id: 'a',
  kind: 'load',
  state: 'running',
  title: 'Loading 2 files',
  step: 'seals.csv',
  progress: 0.426,
  loadId: 'l1',
  error: null,
  createdAt: '2030-01-01T00:00:00Z',
  finishedAt: null,
  ...change,
});

describe('jobs', () => {
  test('a queued or running job is active, an ended one is not', () => {
    const states: Job['state'][] = ['queued', 'running', 'done', 'failed', 'cancelled', 'interrupted'];
    expect(states.filter((state) => isActive({ state }))).toEqual(['queued', 'running']);
    expect(activeJobs(states.map((state) => job({ id: state, state }))).map(({ id }) => id)).toEqual([
      'queued',
      'running',
    ]);
  });

  test('news of a job replaces it in place; a new job comes first', () => {
    const jobs = [job({ id: 'b' }), job({ id: 'a' })];
    expect(mergeJob(jobs, job({ id: 'a', progress: 0.9 })).map(({ id, progress }) => [id, progress])).toEqual([
      ['b', 0.426],
      ['a', 0.9],
    ]);
    expect(mergeJob(jobs, job({ id: 'c' })).map(({ id }) => id)).toEqual(['c', 'b', 'a']);
  });

  test('late news does not bring an ended job back to life', () => {
    const ended = [job({ state: 'done', progress: 1 })];
    expect(mergeJob(ended, job({ state: 'running', progress: 0.5 }))).toEqual(ended);
  });

  test('a preview changes no record', () => {
    expect(changesRecords({ kind: 'preview' })).toBe(false);
    expect(changesRecords({ kind: 'load' })).toBe(true);
    expect(changesRecords({ kind: 'forecast' })).toBe(true);
  });

  test('a job is described with its progress, or how it ended and why', () => {
    expect(describeJob(job({}))).toBe('Loading 2 files: 42 % (seals.csv)');
    expect(describeJob(job({ state: 'queued' }))).toBe('Loading 2 files: waiting');
    expect(describeJob(job({ state: 'failed', error: 'The disk is full' }))).toBe(
      'Loading 2 files: failed. The disk is full',
    );
    expect(describeJob(job({ state: 'interrupted' }))).toContain('nothing of it was kept');
  });

  test('what came of a program is told by its last step', () => {
    const step = 'Stopped; the best program so far was kept.';
    expect(describeJob(job({ kind: 'program', state: 'done', step }))).toContain(step);
    expect(describeJob(job({ kind: 'program', state: 'cancelled' }))).toContain('nothing of it was kept');
  });
});
