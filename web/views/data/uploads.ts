import { useSyncExternalStore } from 'react';
import type { Load } from '../../../server/schemas/load.ts';
import { createLoad, uploadFile } from '../../api/loads.ts';
import { describeError } from '../../api/request.ts';
import { externalStore } from '../../state/external-store.ts';
import { type QueuedFile, type QueueEvent, readyUploads, uploadQueue } from '../../state/upload-queue.ts';

/** Files on their way. Kept outside the screen: sending goes on while the user looks at another one. */
interface Sending {
  readonly queue: readonly QueuedFile[];
  /** The load that the files were put in once all had arrived. */ readonly created: Load | null;
  readonly error: string | null;
}
const store = externalStore<Sending>({ queue: [], created: null, error: null });
const aborts = new Map<string, AbortController>();
let lastSent: Promise<void> = Promise.resolve();
let filesAdded = 0;

const tell = (event: QueueEvent): void => {
  const state = store.read();
  store.write({ ...state, queue: uploadQueue(state.queue, event) });
};

export const useSending = (): Sending => useSyncExternalStore(store.subscribe, store.read);

/** Sends files one after the other; when all have ended, those that arrived are previewed as one load. */
export function sendFiles(files: readonly File[]): void {
  const added = files.map((file) => ({ id: `file-${++filesAdded}`, file }));
  tell({ type: 'added', files: added.map(({ id, file }) => ({ id, name: file.name, bytes: file.size })) });
  for (const { id, file } of added) {
    aborts.set(id, new AbortController());
    lastSent = lastSent.then(() => send(id, file));
  }
  lastSent = lastSent.then(previewWhenReady);
}

export function cancelFile(id: string): void {
  aborts.get(id)?.abort();
  tell({ type: 'cancelled', id });
}

export const dismissFile = (id: string): void => tell({ type: 'removed', id });

/** Says that the screen has taken over the created load. */
export const takeCreated = (): void => store.write({ ...store.read(), created: null });

async function send(id: string, file: File): Promise<void> {
  const signal = aborts.get(id)?.signal;
  if (!signal || signal.aborted) return;
  tell({ type: 'progress', id, share: 0 });
  try {
    const upload = await uploadFile(file, { signal, onProgress: (share) => tell({ type: 'progress', id, share }) });
    tell({ type: 'sent', id, upload });
  } catch (error) {
    if (!signal.aborted) tell({ type: 'failed', id, error: describeError(error) });
  } finally {
    aborts.delete(id);
  }
}

async function previewWhenReady(): Promise<void> {
  const uploadIds = readyUploads(store.read().queue);
  if (!uploadIds) return;
  try {
    const created = await createLoad(uploadIds.map((uploadId) => ({ uploadId })));
    const queue = store.read().queue.filter(({ state }) => state !== 'sent');
    store.write({ queue, created, error: null });
  } catch (error) {
    store.write({ ...store.read(), error: describeError(error) });
  }
}

/** Asks for the preview again after the server refused it. */
export function retryPreview(): void {
  lastSent = lastSent.then(previewWhenReady);
}
