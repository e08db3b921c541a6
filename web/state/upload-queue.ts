import type { Upload } from '../../server/schemas/load.ts';

/** One file on its way to the server. */
export interface QueuedFile {
  id: string;
  name: string;
  bytes: number;
  state: 'waiting' | 'sending' | 'sent' | 'failed' | 'cancelled';
  /** Share sent, 0 to 1. */ share: number;
  uploadId: string | null;
  error: string | null;
}
export type QueueEvent =
  | {
      type: 'added';
      files: readonly { id: string; name: string; bytes: number }[];
    }
  | { type: 'progress'; id: string; share: number }
  | { type: 'sent'; id: string; upload: Upload }
  | { type: 'failed'; id: string; error: string }
  | { type: 'cancelled'; id: string }
  | { type: 'removed'; id: string }
  | { type: 'cleared' };

/** Plain reducer of the upload queue. News of a file that was cancelled or removed changes nothing. */
export function uploadQueue(queue: readonly QueuedFile[], event: QueueEvent): QueuedFile[] {
  switch (event.type) {
    case 'added':
      return [
        ...queue,
        ...event.files.map((file) => ({
          ...file,
          state: 'waiting' as const,
          share: 0,
          uploadId: null,
          error: null,
        })),
      ];
    case 'progress':
      return update(queue, event.id, (file) => ({
        ...file,
        state: 'sending',
        share: event.share,
      }));
    case 'sent':
      return update(queue, event.id, (file) => ({
        ...file,
        state: 'sent',
        share: 1,
        uploadId: event.upload.id,
      }));
    case 'failed':
      return update(queue, event.id, (file) => ({
        ...file,
        state: 'failed',
        error: event.error,
      }));
    case 'cancelled':
      return update(queue, event.id, (file) => ({
        ...file,
        state: 'cancelled',
      }));
    case 'removed':
      return queue.filter(({ id }) => id !== event.id);
    case 'cleared':
      return [];
    default:
      return event satisfies never;
  }
}

const update = (queue: readonly QueuedFile[], id: string, edit: (file: QueuedFile) => QueuedFile): QueuedFile[] =>
  queue.map((file) => (file.id === id && (file.state === 'waiting' || file.state === 'sending') ? edit(file) : file));

/** Ids of the uploads to preview, once nothing is on its way any more; null while something is, or nothing arrived. */
export function readyUploads(queue: readonly QueuedFile[]): string[] | null {
  if (queue.some(({ state }) => state === 'waiting' || state === 'sending')) return null;
  const sent = queue.flatMap(({ uploadId }) => (uploadId ? [uploadId] : []));
  return sent.length > 0 ? sent : null;
}

/** A size in words that a person reads: "3.4 MB". Decimal units, as operating systems show them. */
export function describeBytes(bytes: number): string {
  if (bytes < 1000) return `${bytes} bytes`;
  const [size, unit] = bytes < 1e6 ? [bytes / 1e3, 'kB'] : bytes < 1e9 ? [bytes / 1e6, 'MB'] : [bytes / 1e9, 'GB'];
  return `${size < 10 ? size.toFixed(1) : Math.round(size)} ${unit}`;
}
