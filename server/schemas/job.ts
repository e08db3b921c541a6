import { type Static, Type } from 'typebox';
import { Nullable } from './common.ts';
import { oneOf } from './words.ts';

export const JobSchema = Type.Object(
  {
    id: Type.String(),
    kind: oneOf(
      [
        'preview',
        'load',
        'forecast',
        'budget',
        'evidence',
        'adopt',
        'comparison',
        'prior-trial',
        'program',
        'closures',
      ],
      'What the work is',
    ),
    state: oneOf(
      ['queued', 'running', 'done', 'failed', 'cancelled', 'interrupted'],
      'interrupted: the server stopped while it ran; nothing of it was kept',
    ),
    title: Type.String(),
    step: Type.String({ description: 'What it is doing, in words' }),
    progress: Type.Number({ minimum: 0, maximum: 1 }),
    loadId: Nullable(Type.String()),
    scenarioId: Type.Optional(Type.String({ description: 'Of a program' })),
    planId: Type.Optional(Type.String({ description: 'Of a closure plan' })),
    error: Nullable(Type.String()),
    createdAt: Type.String(),
    finishedAt: Nullable(Type.String()),
  },
  { $id: 'Job' },
);
export type Job = Static<typeof JobSchema>;
