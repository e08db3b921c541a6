import { describe, expect, test } from 'vitest';
import { describeBytes, type QueueEvent, readyUploads, uploadQueue } from '../../../../web/state/upload-queue.ts';

const queueAfter = (...events: QueueEvent[]) => events.reduce(uploadQueue, []);
const added: QueueEvent = {
  type: 'added',
  files: [
    { id: '1', name: 'a.csv', bytes: 10 },
    { id: '2', name: 'b.csv', bytes: 20 },
  ],
};
const sent = (id: string): QueueEvent => ({ type: 'sent', id, upload: { id: `u${id}`, name: 'x', bytes: 1 } });

describe('the upload queue', () => {
  test('the preview waits until no file is on its way', () => {
    expect(readyUploads(queueAfter(added, sent('1')))).toBeNull();
    expect(readyUploads(queueAfter(added, sent('1'), { type: 'progress', id: '2', share: 0.5 }))).toBeNull();
    expect(readyUploads(queueAfter(added, sent('1'), sent('2')))).toEqual(['u1', 'u2']);
  });

  test('a failed or cancelled file does not hold up the others', () => {
    expect(readyUploads(queueAfter(added, sent('1'), { type: 'failed', id: '2', error: 'too large' }))).toEqual(['u1']);
    expect(readyUploads(queueAfter(added, { type: 'cancelled', id: '1' }, { type: 'cancelled', id: '2' }))).toBeNull();
  });

  test('news of a cancelled file changes nothing', () => {
    const queue = queueAfter(
      added,
      { type: 'cancelled', id: '1' },
      { type: 'progress', id: '1', share: 0.9 },
      sent('1'),
    );
    expect(queue[0]).toMatchObject({ state: 'cancelled', uploadId: null });
  });

  test('sizes read as an operating system shows them', () => {
    expect([0, 999, 1500, 34_000, 3_400_000, 12_000_000_000].map(describeBytes)).toEqual([
      '0 bytes',
      '999 bytes',
      '1.5 kB',
      '34 kB',
      '3.4 MB',
      '12 GB',
    ]);
  });
});
